import type { Browser, Locator, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { startTinyWard, type TinyWard } from '../practice/tiny-app.ts';
import { keepPicture, openChromium, openWardPage, sizes } from '../practice/ward-page.ts';
import { look } from './look.ts';

let browser: Browser;
let ward: TinyWard;
beforeAll(async () => {
  browser = await openChromium();
});
afterAll(() => browser.close());
beforeEach(async () => {
  ward = await startTinyWard();
});
afterEach(async () => {
  await Promise.all(browser.contexts().map((context) => context.close()));
  await ward.stop();
});

const reader = (page: Page, name: string) => page.getByRole('region', { name, exact: true });
const nurse = (page: Page) => reader(page, 'Nurse');
const file = (name: string, text: string | Buffer) => ({
  name,
  mimeType: 'application/octet-stream',
  buffer: Buffer.from(text),
});
const header = file('biscuit.hea', 'biscuit 1 250 2\n');
const samples = file('biscuit.dat', Buffer.from([1, 0, 255, 127]));
const csv = file('biscuit.csv', 't,p\n0,90\n0.004,92\n');

const focusedName = (page: Page) =>
  page.evaluate<string>("document.activeElement?.closest('label')?.textContent ?? ''");

/** How wide the picture lies in its message, and how wide it is by itself. */
async function widths(picture: Locator): Promise<{ drawn: number; own: number; room: number }> {
  return picture.evaluate((image) => ({
    drawn: image.getBoundingClientRect().width,
    own: (image as unknown as { naturalWidth: number }).naturalWidth,
    room: image.closest('figure')?.getBoundingClientRect().width ?? 0,
  }));
}

describe('a strip attached on a phone', () => {
  it('goes into the ward channel by thumb, is read by its key, and its picture stands under it', async () => {
    const { page, problems } = await openWardPage(browser, ward, { size: 'phone' });
    const opening = page.waitForEvent('filechooser');
    await nurse(page).getByLabel('Attach a file…').tap();
    const chooser = await opening;
    expect(chooser.isMultiple()).toBe(true);
    await chooser.setFiles([header, samples]);
    await nurse(page).getByText('biscuit.hea, biscuit.dat: now in the ward channel.').waitFor();
    const message = ward.platform.messages('C0WARDEAST').at(-1);
    expect(message).toMatchObject({
      user: 'U0NURSEINA',
      files: [
        { name: 'biscuit.hea', size: 16 },
        { name: 'biscuit.dat', size: 4 },
      ],
    });
    const slip = nurse(page).getByRole('article', { name: /^Ina Brandvold/ });
    await slip.getByRole('link', { name: 'Save biscuit.dat' }).waitFor();
    expect(await slip.textContent()).toContain('biscuit.hea16 B');
    // Something newer, so that the answer has to find its place.
    await ward.platform.say({ user: 'teo', text: 'Mochi is asleep' });
    await nurse(page).getByText('Mochi is asleep').waitFor();

    await slip.getByRole('button', { name: 'Read this strip: biscuit.hea, biscuit.dat' }).tap();
    const picture = nurse(page).getByRole('img', { name: '20 bytes read of biscuit.hea, biscuit.dat' });
    await picture.waitFor();
    await expect.poll(() => widths(picture).then(({ own }) => own)).toBe(900);
    const { drawn, room } = await widths(picture);
    expect(drawn).toBe(room);
    expect(drawn).toBeGreaterThan(sizes.phone.width * 0.65);
    const order = await nurse(page).getByRole('article').allTextContents();
    expect(order.map((text) => /Mochi|Read:|biscuit\.hea/.exec(text)?.[0])).toEqual([
      'biscuit.hea',
      'Read:',
      'Mochi',
    ]);
    const reply = nurse(page).locator('.slip-reply');
    expect(await reply.textContent()).toContain('Reply to 19:00');
    // Nothing to read in what the bot drew.
    expect(await reply.getByRole('button').count()).toBe(0);
    const tooWide = await page
      .locator(':visible')
      .evaluateAll(
        (nodes, width) => nodes.filter((node) => node.getBoundingClientRect().right > width).length,
        sizes.phone.width,
      );
    expect(tooWide).toBe(0);
    await look(page, 'attached-strip');
    expect(problems).toEqual([]);
    expect(ward.platform.warnings).toEqual([]);
  }, 90_000);
});

describe('a file attached at a desk', () => {
  it('is chosen and read by keyboard alone, as the person whose phone it is', async () => {
    const { page, problems } = await openWardPage(browser, ward, { size: 'desk' });
    // Asked for early: the browser must know that somebody waits for the chooser before the key is pressed.
    const opening = page.waitForEvent('filechooser');
    await nurse(page).getByRole('button', { name: '/artline menu' }).focus();
    await page.keyboard.press('Tab');
    expect(await focusedName(page)).toBe('Attach a file…');
    await keepPicture(page, 'bot-attach-focused');
    await page.keyboard.press('Enter');
    await (await opening).setFiles([csv]);
    const key = nurse(page).getByRole('button', { name: 'Read this strip: biscuit.csv' });
    await key.waitFor();
    expect(await focusedName(page)).toBe('Attach a file…');
    await key.focus();
    await page.keyboard.press('Space');
    await nurse(page).getByRole('img', { name: '18 bytes read of biscuit.csv' }).waitFor();
    const sent = ward.platform.deliveries.findLast(({ payload }) => payload.type === 'message_action');
    expect(sent).toMatchObject({
      acked: true,
      payload: { callback_id: 'read_strip', user: { id: 'U0NURSEINA' }, channel: { id: 'C0WARDEAST' } },
    });
    await expect.poll(() => page.locator('#spoken').textContent()).toContain('Read: biscuit.csv');
    await look(page, 'desk-attached-strip');
    expect(problems).toEqual([]);
  }, 90_000);

  it('shows a clinician who reads direct messages where the file went', async () => {
    const { page } = await openWardPage(browser, ward, { size: 'desk' });
    const clinician = reader(page, 'On-call clinician');
    await clinician.getByLabel('Attach a file…').setInputFiles([csv]);
    await clinician.getByRole('article', { name: /^Dr Suvi Aaltola/ }).waitFor();
    expect(await clinician.getByRole('tab', { name: /^Ward channel/ }).getAttribute('aria-selected')).toBe(
      'true',
    );
    expect(ward.platform.messages('C0WARDEAST').at(-1)?.user).toBe('U0CLINSUVI');
  });

  it('may be one of the invented strips, chosen by name', async () => {
    const { page, problems } = await openWardPage(browser, ward, { size: 'phone' });
    const fold = nurse(page).getByRole('button', { name: 'Examples' });
    await fold.tap();
    expect(await fold.getAttribute('aria-expanded')).toBe('true');
    await nurse(page).getByRole('button', { name: 'Example strip: normal' }).waitFor();
    await look(page, 'examples');
    await nurse(page).getByRole('button', { name: 'Example strip: rings' }).tap();
    await nurse(page).getByRole('button', { name: 'Read this strip: example-rings.csv' }).tap();
    await nurse(page)
      .getByRole('img', { name: /bytes read of example-rings\.csv$/ })
      .waitFor();
    expect(await nurse(page).getByRole('button', { name: 'Example strip: normal' }).count()).toBe(0);
    expect(ward.platform.messages('C0WARDEAST').at(0)).toMatchObject({
      user: 'U0NURSEINA',
      files: [{ name: 'example-rings.csv', mimetype: 'text/csv' }],
    });
    expect(problems).toEqual([]);
  });

  it('is refused above 12 MB, empty, or one of eleven, each with a sentence, and nothing is posted', async () => {
    const { page } = await openWardPage(browser, ward, { size: 'desk' });
    const input = nurse(page).getByLabel('Attach a file…');
    const describedBy = (await input.getAttribute('aria-describedby')) ?? '';
    expect(await page.locator(`[id="${describedBy}"]`).textContent()).toBe(
      'Goes into the ward channel at once; 12 MB for all files together at most.',
    );
    const said = nurse(page).locator('.said');
    await input.setInputFiles([
      file('a.dat', Buffer.alloc(7_000_000, 1)),
      file('b.dat', Buffer.alloc(6_000_000, 1)),
    ]);
    await expect
      .poll(() => said.textContent())
      .toBe('13.0 MB is above 12 MB for all files together. Attach fewer, or cut the strip shorter.');
    await input.setInputFiles([csv, file('none.csv', '')]);
    await expect
      .poll(() => said.textContent())
      .toBe('“none.csv” is empty. Choose a file with something in it.');
    await input.setInputFiles(Array.from({ length: 11 }, (_, at) => file(`${at}.csv`, 'a')));
    await expect
      .poll(() => said.textContent())
      .toBe('11 files: a message carries 1 to 10. Send them in several messages.');
    expect(ward.platform.messages('C0WARDEAST')).toEqual([]);
    // The same file once more, after it was put right: the input gives it again.
    await input.setInputFiles([file('none.csv', 't,p\n')]);
    await expect.poll(() => said.textContent()).toBe('none.csv: now in the ward channel.');
  }, 90_000);

  it('leads to a reply that is drawn out of sight', async () => {
    const { page } = await openWardPage(browser, ward, { size: 'desk' });
    const { message } = await ward.platform.shareFiles({
      user: 'ina',
      files: [{ name: 'biscuit.csv', bytes: csv.buffer }],
    });
    for (let count = 1; count <= 20; count += 1)
      await ward.platform.say({ user: 'teo', text: `Line ${count}` });
    await nurse(page).getByText('Line 20').waitFor();
    await ward.platform.messageShortcut({
      user: 'ina',
      channel: 'C0WARDEAST',
      messageTs: message.ts,
      callbackId: 'read_strip',
    });
    await nurse(page).getByRole('button', { name: 'New reply' }).click();
    const picture = nurse(page).getByRole('img', { name: '18 bytes read of biscuit.csv' });
    await expect.poll(() => widths(picture).then(({ own }) => own)).toBe(900);
    expect(await nurse(page).getByRole('button', { name: 'New reply' }).count()).toBe(0);
    expect(await page.evaluate<string>("document.activeElement?.getAttribute('aria-label') ?? ''")).toBe(
      'Dicrotic, 19:00',
    );
    const [top, frameTop] = await Promise.all([
      picture.evaluate((image) => image.getBoundingClientRect().bottom),
      nurse(page)
        .locator('.slips-frame')
        .evaluate((frame) => frame.getBoundingClientRect().top),
    ]);
    expect(top).toBeGreaterThan(frameTop);
  });
});

describe('what the page sends files to', () => {
  it('refuses more than 12 MB, a form without files, and whoever has no token', async () => {
    const { origin, port } = ward.platform;
    const html = await (await fetch(`${origin}/`)).text();
    const token = /name="practice-token" content="([^"]+)"/.exec(html)?.[1] ?? '';
    const send = (body: FormData | string, given = token) =>
      fetch(`${origin}/practice/share`, {
        method: 'POST',
        headers: { 'x-practice-token': given, origin: `http://127.0.0.1:${port}` },
        body,
      });
    const form = (bytes: number, user = 'U0NURSEINA') => {
      const made = new FormData();
      made.append('user', user);
      made.append('files', new Blob([Buffer.alloc(bytes, 1)]), 'a.dat');
      return made;
    };
    const large = await send(form(12_000_001));
    expect(large.status).toBe(413);
    expect(await large.json()).toEqual({
      problem: 'The files are above 12 MB together. Attach fewer, or cut the strip shorter.',
    });
    expect((await send(form(20_000_000))).status).toBe(413);
    expect((await send('not a form')).status).toBe(400);
    expect((await send(form(10), 'wrong')).status).toBe(403);
    expect((await send(form(10, 'U0STRANGER'))).status).toBe(409);
    expect(ward.platform.messages('C0WARDEAST')).toEqual([]);
    expect((await send(form(12_000_000))).status).toBe(200);
  });
});
