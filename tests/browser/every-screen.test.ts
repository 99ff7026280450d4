import type { Browser, Locator, Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { openWardPage, sizes } from '../practice/ward-page.ts';
import { look, lookOnTop } from './look.ts';
import { onWholeWards } from './on-whole-wards.ts';
import type { WholeWard } from './whole-ward.ts';

let browser: Browser;
let ward: WholeWard;
onWholeWards(Date.parse('2026-11-24T21:10:00Z'), (stage) => {
  ({ browser, ward } = stage);
});

const nurseIna = 'U0NURSEINA';
const form = (page: Page) => page.getByRole('dialog');

async function place(words: string): Promise<void> {
  await ward.platform.slash({ user: 'ina', text: `place ${words}` });
  const { id: viewId } = await ward.platform.until('the registering form', () =>
    ward.platform.view(nurseIna),
  );
  await ward.platform.submit({ user: 'ina', viewId });
  await ward.platform.until('the form to close', () => ward.platform.view(nurseIna) === undefined);
}

/** Opens a form by its key, checks that it fits the phone, looks at it and goes back. */
async function visit(page: Page, key: Locator, title: RegExp, name: string): Promise<void> {
  await key.first().tap();
  const opened = page.getByRole('dialog', { name: title });
  await opened.waitFor();
  const tooWide = await page
    .locator('.sheet-body :visible')
    .evaluateAll(
      (nodes, width) =>
        nodes.filter((node) => node.getBoundingClientRect().right > width).map((node) => node.outerHTML),
      sizes.phone.width,
    );
  expect(tooWide, name).toEqual([]);
  await lookOnTop(page, name);
  await opened.getByRole('button', { name: 'Back' }).tap();
  await opened.waitFor({ state: 'detached' });
}

describe('every form on a phone', () => {
  it('fits the width of 390 and has nothing that axe finds wrong', async () => {
    const { page, problems } = await openWardPage(browser, ward, { size: 'phone' });
    await place('Wilhelmina-von-Hohenstaufen dog 61kg left radial 18g manual');
    const nurse = page.getByRole('region', { name: 'Nurse', exact: true });
    await nurse.getByRole('button', { name: '/artline menu' }).tap();
    const menu = page.getByRole('dialog', { name: 'Arterial lines' });
    await menu.waitFor();
    await look(page, 'menu');
    for (const [key, title] of [
      ['Register a line', /^Before placing/],
      ['Attempt failed…', /^Attempt failed/],
      ['Put somebody on call…', /^On call now/],
      ['Audit…', /^Audit/],
      ['Somebody is away…', /^Cover/],
      ['Who has which line…', /^Who has which line/],
      ['Ward policy…', /^Ward policy/],
      ['Export the record…', /^Export the record/],
      ['Help', /^Help/],
    ] as const) {
      await visit(page, menu.getByRole('button', { name: key }), title, `menu-${title.source.slice(1)}`);
    }
    await menu.getByRole('button', { name: /^Open Wilhelmina/ }).tap();
    const line = page.getByRole('dialog', { name: 'Arterial line', exact: true });
    await line.waitFor();
    await look(page, 'line');
    for (const [key, title] of [
      ['Flush…', /^Flush: /],
      ['Zero…', /^Zero/],
      ['Level…', /^Level/],
      ['Fast-flush test…', /^Fast-flush test/],
      ['Reading…', /^Reading/],
      ['Something is wrong…', /^Something is wrong/],
      ['Sample…', /^Sample/],
      ['Site check…', /^Site check/],
      ['Redress…', /^Redress/],
      ['Flush source…', /^Flush source/],
      ['Moved, or off the ward…', /^Moved/],
      ['Line taken out…', /^Line out/],
      ['Give to a nurse…', /^Who has which line/],
      ['Put something right…', /^Put right/],
      ['Wilhelmina-von-Hohenstaufen: Some, or earlier…', /^Done earlier/],
      ['Wilhelmina-von-Hohenstaufen: cannot', /^Cannot be done/],
    ] as const) {
      await visit(
        page,
        form(page).getByRole('button', { name: key, exact: true }),
        title,
        `line-${title.source.slice(1).replace(': ', '')}`,
      );
    }
    await form(page).getByRole('button', { name: 'Fast-flush test…', exact: true }).tap();
    await page.getByRole('button', { name: 'Measure the strip…' }).tap();
    const measured = page.getByRole('dialog', { name: /^Test by strip/ });
    await measured.waitFor();
    await look(page, 'line-Test by strip');
    await measured.getByRole('button', { name: 'Back' }).tap();
    expect(problems).toEqual([]);
    expect(ward.platform.warnings).toEqual([]);
  }, 300_000);
});

describe('a cat past its limit', () => {
  it('leads the clinician’s lock screen, and its line is kept in only by a form with a reason', async () => {
    const { page, problems } = await openWardPage(browser, ward, { size: 'phone' });
    await ward.platform.slash({ user: 'ina', text: 'oncall @suvi' });
    await place('Biscuit dog 28kg left dorsal pedal 20g manual');
    await place('Mochi cat 4.2kg tail 24g manual placed 7 h 50 min ago');
    const limitAt = Date.parse('2026-11-24T21:20:00Z');
    ward.clock.jumpTo(limitAt + 60_000);
    await page
      .getByRole('navigation', { name: 'Choose a reader' })
      .getByRole('button', { name: 'On-call clinician' })
      .tap();
    const clinician = page.getByRole('region', { name: 'On-call clinician', exact: true });
    const keepIn = clinician.getByRole('button', { name: 'Mochi: Keep it in…' });
    await keepIn.first().waitFor({ timeout: 15_000 });
    expect(await clinician.locator('.lock-line').textContent()).toMatch(
      /^MOCHI cat: dwell limit .*, limb at risk\. Asked .*Call the ward or decide\./,
    );
    await look(page, 'cat-limit');
    await visit(page, keepIn.last(), /^Keep the line in/, 'cat-keep-in');
    expect(problems).toEqual([]);
  }, 180_000);
});

describe('a fault', () => {
  it('is gone through on a phone, question by question, to its end', async () => {
    const { page, problems } = await openWardPage(browser, ward, { size: 'phone' });
    await place('Wilhelmina-von-Hohenstaufen dog 61kg left radial 18g manual');
    await ward.platform.slash({ user: 'ina', text: 'fault Wilhelmina-von-Hohenstaufen none' });
    const opened = page.getByRole('dialog', { name: /^Something is wrong/ });
    await opened.getByText('Step 1 of 9: patient').waitFor();
    await look(page, 'fault-patient');
    await opened.getByRole('button', { name: 'As before: pulse, colour and cuff are good' }).tap();
    await opened.getByRole('button', { name: 'In and joined' }).tap();
    await opened.getByRole('button', { name: 'Nothing amiss' }).tap();
    await opened.getByText('draw back gently').waitFor();
    await look(page, 'fault-draw');
    await opened.getByRole('button', { name: 'No blood or it resists: stop, call' }).tap();
    await opened.getByText('Nobody is on call, so I’m telling the ward.').waitFor();
    const tooWide = await opened
      .locator(':visible')
      .evaluateAll(
        (nodes, width) =>
          nodes.filter((node) => node.getBoundingClientRect().right > width).map((node) => node.outerHTML),
        sizes.phone.width,
      );
    expect(tooWide).toEqual([]);
    await look(page, 'fault-end');
    expect(problems).toEqual([]);
    expect(ward.platform.warnings).toEqual([]);
  }, 180_000);
});
