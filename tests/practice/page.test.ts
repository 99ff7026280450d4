import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { hurriedClock } from '../../src/app/clock.ts';
import { practicePage } from '../../src/practice/page-routes.ts';
import { axeFaults } from './axe.ts';
import { showNight } from './show-night.ts';
import { eveningMs, startTinyWard, type TinyWard, weighingForm } from './tiny-app.ts';
import { keepPicture, openChromium, openWardPage } from './ward-page.ts';

let browser: Browser;
let ward: TinyWard;
beforeAll(async () => {
  browser = await openChromium();
});
afterAll(() => browser.close());
beforeEach(async () => {
  const clock = hurriedClock(eveningMs, 1);
  ward = await startTinyWard({
    clock,
    hurried: clock,
    routes: (platform) =>
      practicePage(platform, {
        clock,
        hurried: clock,
        nextEventAt: () => Promise.resolve(eveningMs + 3_600_000),
      }),
  });
});
afterEach(async () => {
  await Promise.all(browser.contexts().map((context) => context.close()));
  await ward.stop();
});

const reader = (page: Page, name: string) => page.getByRole('region', { name, exact: true });
const nurse = (page: Page) => reader(page, 'Nurse');
const front = (page: Page, name: string) =>
  page.getByRole('navigation', { name: 'Choose a reader' }).getByRole('button', { name }).tap();

const focusedText = (page: Page) => page.evaluate<string>("document.activeElement?.textContent ?? ''");
const focusedKey = (page: Page) => page.evaluate<string>("document.activeElement?.dataset.key ?? ''");

describe('the practice page on a phone', () => {
  it('leads by thumb from the menu through a form with an error to a kept weight', async () => {
    const { page, problems } = await openWardPage(browser, ward, { size: 'phone' });
    await nurse(page).getByRole('button', { name: '/artline menu' }).tap();
    await nurse(page).getByRole('button', { name: 'Weigh a patient' }).tap();
    const form = page.getByRole('dialog', { name: 'Weigh a patient' });
    await form.getByLabel('Patient').fill('Biscuit');
    await form.getByText('dog').tap();
    await form.getByLabel('Weight in kg').fill('400');
    await form.getByRole('button', { name: 'Keep weight' }).tap();
    const weight = form.getByLabel('Weight in kg');
    await expect.poll(() => weight.getAttribute('aria-invalid')).toBe('true');
    const describedBy = (await weight.getAttribute('aria-describedby')) ?? '';
    expect(await page.locator(`[id="${describedBy}"]`).textContent()).toContain('400 kg is above 120 kg.');
    expect(await focusedKey(page)).toBe('weight/weight');
    await keepPicture(page, 'phone-form-error');
    expect(await axeFaults(page)).toEqual([]);

    await weight.fill('27,5');
    await form.getByRole('button', { name: 'Keep weight' }).tap();
    await nurse(page).getByText('Biscuit weighs 27.5 kg').waitFor();
    expect(await form.count()).toBe(0);
    expect(ward.weighed).toEqual([{ name: 'Biscuit', weightKg: 27.5 }]);
    expect(problems).toEqual([]);
  });

  it('shows one reader at a time, counts what is new in the others, and gives keys 44 pixels', async () => {
    const { page } = await openWardPage(browser, ward, { size: 'phone' });
    await showNight(ward);
    const clinician = page
      .getByRole('navigation', { name: 'Choose a reader' })
      .getByRole('button', { name: /clinician/ });
    await expect.poll(() => clinician.textContent()).toContain('new');
    expect(await nurse(page).isVisible()).toBe(true);
    expect(await reader(page, 'On-call clinician').isVisible()).toBe(false);
    await clinician.tap();
    await reader(page, 'On-call clinician').getByRole('button', { name: 'I take it' }).waitFor();
    expect(await reader(page, 'On-call clinician').locator('.lock-line').textContent()).toMatch(
      /^Biscuit: manual flush 20 min late/,
    );
    await keepPicture(page, 'phone-clinician');
    const small = await page.locator('button:visible, .pace label:visible').evaluateAll((nodes) =>
      nodes
        .map((node) => ({ name: node.textContent, box: node.getBoundingClientRect() }))
        .filter(({ box }) => box.width < 44 || box.height < 44)
        .map(({ name }) => name),
    );
    expect(small).toEqual([]);
    const overflow = await page.evaluate<number>('document.documentElement.scrollWidth - window.innerWidth');
    expect(overflow).toBeLessThanOrEqual(0);
  });

  it('opens the nurse’s form when the nurse presses on the wall', async () => {
    const { page } = await openWardPage(browser, ward, { size: 'phone' });
    const text = 'Weigh someone';
    const open = { type: 'button' as const, action_id: 'open', text: { type: 'plain_text' as const, text } };
    await ward.app.client.chat.postMessage({
      channel: 'C0WARDEAST',
      text,
      blocks: [{ type: 'actions', elements: [open] }],
    });
    await front(page, 'Ward channel');
    await reader(page, 'Ward channel').getByRole('button', { name: text }).tap();
    await page.getByRole('dialog', { name: 'Weigh a patient' }).waitFor();
    expect(await nurse(page).isVisible()).toBe(true);
  });

  it('asks before a key that wants to be asked about, and takes no for an answer', async () => {
    const { page } = await openWardPage(browser, ward, { size: 'phone', theme: 'dark' });
    await nurse(page).getByRole('button', { name: '/artline menu' }).tap();
    await nurse(page).getByRole('button', { name: 'All done' }).tap();
    const asked = page.getByRole('dialog', { name: 'Everything?' });
    await keepPicture(page, 'phone-dark-question');
    expect(await axeFaults(page)).toEqual([]);
    const before = ward.platform.deliveries.length;
    await asked.getByRole('button', { name: 'Not yet' }).tap();
    expect(ward.platform.deliveries.length).toBe(before);
    await nurse(page).getByRole('button', { name: 'All done' }).tap();
    await asked.getByRole('button', { name: 'Tick off' }).tap();
    await nurse(page).getByText('All done.').waitFor();
  });
});

describe('the practice page on a desk', () => {
  it('has nothing axe finds wrong with everything drawn', async () => {
    const { page, problems } = await openWardPage(browser, ward, { size: 'desk' });
    await showNight(ward);
    await reader(page, 'On-call clinician').getByRole('button', { name: 'I take it' }).waitFor();
    await nurse(page).getByRole('button', { name: 'Weigh a patient' }).waitFor();
    for (const name of ['Nurse', 'Ward channel', 'On-call clinician'])
      expect(await reader(page, name).isVisible()).toBe(true);
    expect(await axeFaults(page)).toEqual([]);
    await keepPicture(page, 'desk');
    await nurse(page).getByRole('button', { name: 'Weigh a patient' }).click();
    await page.getByRole('dialog', { name: 'Weigh a patient' }).waitFor();
    expect(await axeFaults(page)).toEqual([]);
    await keepPicture(page, 'desk-form');
    expect(problems).toEqual([]);
  });

  it('works by keyboard alone, from the menu to the kept weight and back to the menu key', async () => {
    const { page } = await openWardPage(browser, ward, { size: 'desk' });
    const press = async (...keys: string[]) => {
      for (const key of keys) await page.keyboard.press(key);
    };
    const focused = () => focusedText(page);
    const tabTo = async (name: string) => {
      for (let count = 0; count < 40; count += 1) {
        if ((await focused()) === name) return;
        await press('Tab');
      }
      throw new Error(`no way by Tab to ${name}`);
    };
    await tabTo('/artlinemenu');
    await press('Enter');
    await nurse(page).getByRole('button', { name: 'Weigh a patient' }).waitFor();
    for (let count = 0; count < 20 && (await focused()) !== 'Weigh a patient'; count += 1)
      await press('Shift+Tab');
    await press('Enter');
    const form = page.getByRole('dialog', { name: 'Weigh a patient' });
    await form.waitFor();
    await page.keyboard.type('Mochi');
    await press('Tab', 'Space');
    await press('Tab');
    await page.keyboard.type('4.2');
    await press('Enter');
    await nurse(page).getByText('Mochi weighs 4.2 kg').waitFor();
    expect(ward.weighed).toEqual([{ name: 'Mochi', weightKg: 4.2 }]);
    expect(await focused()).toBe('Weigh a patient');
  });

  it('puts the cursor where the form asks for it, whatever stands before', async () => {
    const blocks = weighingForm.blocks.map((block) =>
      block.block_id === 'weight' && 'element' in block
        ? ({ ...block, element: { ...block.element, focus_on_load: true } } as typeof block)
        : block,
    );
    ward.app.action('weigh', async ({ ack, body, client }) => {
      await ack();
      if ('trigger_id' in body)
        await client.views.open({ trigger_id: body.trigger_id, view: { ...weighingForm, blocks } });
    });
    const text = { type: 'plain_text' as const, text: 'Weight first' };
    await ward.app.client.chat.postMessage({
      channel: 'C0WARDEAST',
      text: text.text,
      blocks: [{ type: 'actions', elements: [{ type: 'button', action_id: 'weigh', value: 'x', text }] }],
    });
    const { page } = await openWardPage(browser, ward, { size: 'desk' });
    await nurse(page).getByRole('button', { name: text.text }).click();
    await page.getByRole('dialog', { name: 'Weigh a patient' }).waitFor();
    await expect.poll(() => focusedKey(page)).toBe('weight/weight');
  });

  it('closes a form by Escape and gives the focus back', async () => {
    const { page } = await openWardPage(browser, ward, { size: 'desk' });
    await nurse(page).getByRole('button', { name: '/artline menu' }).click();
    await nurse(page).getByRole('button', { name: 'Weigh a patient' }).click();
    const form = page.getByRole('dialog', { name: 'Weigh a patient' });
    await form.waitFor();
    await page.keyboard.press('Escape');
    await form.waitFor({ state: 'detached' });
    expect(await focusedText(page)).toBe('Weigh a patient');
  });

  it('reads new messages out once and keeps the focus on a key whose message is updated', async () => {
    const { page } = await openWardPage(browser, ward, { size: 'desk' });
    const later = {
      type: 'button' as const,
      action_id: 'noted',
      text: { type: 'plain_text' as const, text: 'Noted' },
    };
    const blocks = (words: string) => [
      { type: 'section' as const, text: { type: 'plain_text' as const, text: words } },
      { type: 'actions' as const, block_id: 'keys', elements: [later] },
    ];
    const { ts = '' } = await ward.app.client.chat.postMessage({
      channel: 'C0WARDEAST',
      text: 'Flush *Biscuit*',
      blocks: blocks('Flush'),
    });
    const spoken = page.locator('#spoken');
    await expect.poll(() => spoken.textContent()).toBe('Ward channel: Flush Biscuit');
    const key = nurse(page).getByRole('button', { name: 'Noted' });
    await key.focus();
    await ward.app.client.chat.update({
      channel: 'C0WARDEAST',
      ts,
      text: 'Flushed',
      blocks: blocks('Flushed by Ina'),
    });
    await nurse(page).getByText('Flushed by Ina').waitFor();
    expect(await focusedText(page)).toBe('Noted');
    expect(
      await nurse(page)
        .getByText(/^Updated \d\d:\d\d$/)
        .count(),
    ).toBe(1);
    expect(await spoken.textContent()).toBe('Ward channel: Flush Biscuit');
  });

  it('jumps the ward clock to the next event and hurries it', async () => {
    const { page } = await openWardPage(browser, ward, { size: 'desk' });
    await page.getByRole('button', { name: 'Jump to next event' }).click();
    await expect.poll(() => page.locator('#clock-time').textContent()).toMatch(/^20:0/);
    await page.getByRole('radio', { name: '600×' }).check();
    await expect.poll(() => ward.platform.core.clock.now()).toBeGreaterThan(eveningMs + 3_600_000 + 60_000);
  });

  it('draws hostile text as text', async () => {
    const { page, problems } = await openWardPage(browser, ward, { size: 'desk' });
    const hostile =
      '<img src=x onerror=alert(1)> &lt;script&gt;alert(2)&lt;/script&gt; <javascript:alert(3)|press>';
    await ward.app.client.chat.postMessage({ channel: 'C0WARDEAST', text: hostile });
    await nurse(page).getByText('alert(2)').waitFor();
    expect(await page.locator('.slip img, .slip script, .slip a').count()).toBe(0);
    expect(problems).toEqual([]);
  });
});

describe('what the page talks to', () => {
  it('answers nobody without the token of this start, nor a foreign website with it', async () => {
    const { origin, port } = ward.platform;
    const html = await (await fetch(`${origin}/`)).text();
    const token = /name="practice-token" content="([^"]+)"/.exec(html)?.[1] ?? '';
    const act = (headers: Record<string, string>) =>
      fetch(`${origin}/practice/act`, {
        method: 'POST',
        headers: { 'content-type': 'application/json', ...headers },
        body: JSON.stringify({ kind: 'slash', user: 'U0NURSEINA', where: 'ward', text: 'fail' }),
      });
    const own = `http://127.0.0.1:${port}`;
    expect((await fetch(`${origin}/practice/state`)).status).toBe(403);
    expect((await act({ origin: own })).status).toBe(403);
    expect((await act({ 'x-practice-token': token })).status).toBe(403);
    expect((await act({ 'x-practice-token': token, origin: 'http://evil.example' })).status).toBe(403);
    expect((await act({ 'x-practice-token': token, origin: own })).status).toBe(200);
    expect(token).toHaveLength(24);
  });

  it('serves scripts as JavaScript, and nothing of the folder but the page', async () => {
    const { origin } = ward.platform;
    const script = await fetch(`${origin}/page/reader.ts`);
    expect(script.headers.get('content-type')).toBe('text/javascript; charset=utf-8');
    expect(await script.text()).not.toMatch(/: string|^interface /m);
    for (const other of ['tsconfig.json', 'README.md', '../page-acts.ts', '%2e%2e/page-acts.ts'])
      expect((await fetch(`${origin}/page/${other}`)).status, other).toBe(404);
  });

  it('serves the page under a policy that lets nothing foreign in', async () => {
    const policy = (await fetch(`${ward.platform.origin}/`)).headers.get('content-security-policy');
    expect(policy).toContain("default-src 'none'");
    expect(policy).not.toContain('unsafe');
  });
});
