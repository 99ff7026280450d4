import type { Browser, Locator, Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { openWardPage } from '../practice/ward-page.ts';
import { look } from './look.ts';
import { onWholeWards } from './on-whole-wards.ts';
import type { WholeWard } from './whole-ward.ts';

let browser: Browser;
let ward: WholeWard;
onWholeWards(Date.parse('2026-11-24T19:20:00Z'), (stage) => {
  ({ browser, ward } = stage);
});

const reader = (page: Page, name: string) => page.getByRole('region', { name, exact: true });
const front = (page: Page, name: string) =>
  page.getByRole('navigation', { name: 'Choose a reader' }).getByRole('button', { name }).tap();

/** A thumb that counts its taps; typing into a field costs the tap that puts the cursor there. */
function thumb() {
  let taps = 0;
  return {
    taps: () => taps,
    async tap(target: Locator) {
      taps += 1;
      await target.first().tap();
    },
    async type(target: Locator, text: string) {
      taps += 1;
      await target.first().tap();
      await target.first().fill(text);
    },
  };
}

async function registerByThumb(page: Page): Promise<number> {
  const hand = thumb();
  const nurse = reader(page, 'Nurse');
  await hand.tap(nurse.getByRole('button', { name: '/artline menu' }));
  await hand.tap(nurse.getByRole('button', { name: 'Register a line' }));
  const before = page.getByRole('dialog', { name: 'Before placing' });
  await hand.tap(before.getByText('None of these'));
  await hand.tap(before.getByRole('button', { name: 'Next' }));
  const form = page.getByRole('dialog', { name: 'Register a line' });
  await form.waitFor();
  // The cursor stands in the name already: no tap puts it there.
  await form.getByLabel('Patient', { exact: false }).and(page.locator(':focus')).waitFor();
  await page.keyboard.type('Biscuit');
  await hand.tap(form.getByText('Dog', { exact: true }));
  await hand.type(form.getByLabel(/^Weight/), '28');
  await hand.tap(form.getByText('Left', { exact: true }));
  await hand.tap(form.getByRole('button', { name: 'Register line' }));
  await nurse.getByText(/^Registered: Biscuit \(left dorsal pedal\)\. Screened: no cautions\./).waitFor();
  return hand.taps();
}

const jumpUntil = async (page: Page, shown: Locator) => {
  for (let jumps = 0; jumps < 10 && (await shown.count()) === 0; jumps++) {
    await page.getByRole('button', { name: 'Jump to next event' }).tap();
    await shown
      .first()
      .waitFor({ timeout: 2_500 })
      .catch(() => undefined);
  }
  await shown.first().waitFor();
};

describe('the main job by thumb, 390 by 844', () => {
  it('registers in at most 8 taps, is reminded of, climbs to the clinician, is claimed and ticked off, and handed over', async () => {
    const { page, problems } = await openWardPage(browser, ward, { size: 'phone' });
    await ward.platform.slash({ user: 'ina', text: 'oncall @suvi' });
    expect(await registerByThumb(page)).toBeLessThanOrEqual(8);
    await look(page, 'registered');
    const nurse = reader(page, 'Nurse');
    await nurse.getByRole('button', { name: 'Zeroed and levelled' }).last().tap();
    await nurse
      .getByText(/zeroed/)
      .first()
      .waitFor();
    await nurse
      .getByRole('button', { name: /Fast-flush test/ })
      .last()
      .tap();
    const test = page.getByRole('dialog', { name: /^Fast-flush test/ });
    await test
      .getByText(/^Normal/)
      .first()
      .tap();
    await look(page, 'test-form');
    await test.getByRole('button', { name: 'Record test' }).tap();
    await nurse
      .getByText(/fast-flush test: normal/)
      .first()
      .waitFor();

    await front(page, 'On-call clinician');
    const clinician = reader(page, 'On-call clinician');
    await jumpUntil(page, clinician.getByRole('button', { name: /I take it/ }));
    // What a lock screen shows: which patient, what, how late, what it risks, who was asked, what to do.
    expect(await clinician.locator('.lock-line').textContent()).toMatch(
      /^BISCUIT dog: flush 20 min late, may clot\. Asked Ina Brandvold .*Call the ward or take it\./,
    );
    await look(page, 'clinician');
    await clinician.getByRole('button', { name: /I take it/ }).tap();
    await clinician
      .getByText(/Taken by|taken by/)
      .first()
      .waitFor();
    await clinician
      .getByRole('button', { name: /Flushed/ })
      .first()
      .tap();
    await expect
      .poll(() => clinician.getByRole('button', { name: /Flushed/ }).count(), { timeout: 8_000 })
      .toBe(0);
    await look(page, 'settled');

    await front(page, 'Ward channel');
    const wall = reader(page, 'Ward channel');
    await look(page, 'ward');
    await ward.platform.slash({ user: 'teo', text: 'handover' });
    await wall
      .getByRole('button', { name: /^Accept/ })
      .first()
      .waitFor();
    await look(page, 'handover');
    await wall
      .getByRole('button', { name: /^Accept/ })
      .first()
      .tap();
    await wall
      .getByText(/Accepted \d\d:\d\d by/)
      .first()
      .waitFor();

    await front(page, 'Nurse');
    await nurse.getByRole('button', { name: '/artline menu' }).tap();
    await nurse.getByRole('button', { name: /^Open/ }).first().waitFor();
    await look(page, 'menu');
    await nurse.getByRole('button', { name: /^Open/ }).first().tap();
    await page.getByRole('dialog', { name: 'Arterial line' }).getByText('Line taken out…').waitFor();
    await look(page, 'line');
    expect(problems).toEqual([]);
  }, 300_000);
});
