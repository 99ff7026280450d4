import type { Browser, Locator } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { openWardPage, sizes } from '../practice/ward-page.ts';
import { look } from './look.ts';
import { onWholeWards } from './on-whole-wards.ts';
import type { WholeWard } from './whole-ward.ts';

let browser: Browser;
let ward: WholeWard;
onWholeWards(Date.parse('2026-11-24T19:20:00Z'), (stage) => {
  ({ browser, ward } = stage);
});

async function fits(dialog: Locator): Promise<void> {
  const tooWide = await dialog
    .locator(':visible')
    .evaluateAll(
      (nodes, width) =>
        nodes.filter((node) => node.getBoundingClientRect().right > width).map((node) => node.outerHTML),
      sizes.phone.width,
    );
  expect(tooWide).toEqual([]);
}

describe('before placing, on a phone', () => {
  it('screens, asks for the clinician’s decision, takes the tries, and fits the width of 390 with nothing that axe finds wrong', async () => {
    const { page, problems } = await openWardPage(browser, ward, { size: 'phone' });
    await ward.platform.slash({ user: 'ina', text: 'oncall @suvi' });
    const nurse = page.getByRole('region', { name: 'Nurse', exact: true });
    await nurse.getByRole('button', { name: '/artline menu' }).tap();
    await nurse.getByRole('button', { name: 'Register a line' }).tap();
    const before = page.getByRole('dialog', { name: 'Before placing' });
    await before.waitFor();
    await fits(before);
    await look(page, 'placing-before');
    await before.getByText('Repeated blood gases').tap();
    await before.getByRole('checkbox', { name: /^Cat/ }).tap();
    await before.getByRole('checkbox', { name: /^None of these/ }).tap();
    await before.getByRole('button', { name: 'Next' }).tap();
    await before
      .getByText('“None of these” and “cat” are both ticked. Untick the one that’s wrong.')
      .waitFor();
    await look(page, 'placing-both');
    await before.getByRole('checkbox', { name: /^None of these/ }).tap();
    await before.getByText('Bleeding disorder (a clinician decides)').tap();
    await look(page, 'placing-ticked');
    await before.getByRole('button', { name: 'Next' }).tap();
    const form = page.getByRole('dialog', { name: 'Register a line' });
    await form.waitFor();
    await fits(form);
    await look(page, 'placing-decision');
    await form.getByLabel(/^Who decided/).selectOption({ label: 'Dr Suvi Aaltola' });
    await form.getByLabel(/^Because/).fill('Pressures for noradrenaline');
    await form.getByLabel(/^Patient/).fill('Mochi');
    await form.getByLabel(/^Weight/).fill('4.2');
    await form.getByText('Left', { exact: true }).tap();
    await form.getByLabel(/^Attempts/).selectOption('2');
    await look(page, 'placing-tries');
    await form.getByRole('button', { name: 'Register line' }).tap();
    await nurse
      .getByText(/^Registered: Mochi \(left dorsal pedal\)\. Cautions: bleeding disorder, cat/)
      .waitFor();
    await look(page, 'placing-registered');
    await nurse.getByRole('button', { name: '/artline menu' }).tap();
    await nurse.getByRole('button', { name: 'Attempt failed…' }).tap();
    const tries = page.getByRole('dialog', { name: 'Attempt failed' });
    await tries.waitFor();
    await fits(tries);
    await look(page, 'placing-failed');
    await tries.getByLabel(/^Patient/).fill('Biscuit');
    await tries.getByText('Dog', { exact: true }).tap();
    await tries.getByText('Left', { exact: true }).tap();
    await tries.getByRole('button', { name: 'Record tries' }).tap();
    await nurse.getByText(/^Recorded: 1 failed try by Ina Brandvold, Biscuit/).waitFor();
    await look(page, 'placing-answer');
    expect(problems).toEqual([]);
    expect(ward.platform.warnings).toEqual([]);
  }, 300_000);
});

it('words open the form at once, and its button asks for the cautions in the same form', async () => {
  const { page, problems } = await openWardPage(browser, ward, { size: 'phone' });
  await ward.platform.slash({ user: 'ina', text: 'place Biscuit dog 28kg left dorsal pedal 20g manual' });
  const form = page.getByRole('dialog', { name: 'Register a line' });
  await form.waitFor();
  await look(page, 'placing-words');
  await form.getByLabel(/^Why it was placed/).fill('septic abdomen');
  await form.getByRole('button', { name: 'Screen first…' }).tap();
  await form.getByText('None of these').tap();
  await fits(form);
  await look(page, 'placing-words-screened');
  expect(await form.getByLabel(/^Why it was placed/).inputValue()).toBe('septic abdomen');
  expect(await form.getByLabel(/^Patient/).inputValue()).toBe('Biscuit');
  await form.getByRole('button', { name: 'Register line' }).tap();
  await page
    .getByText(/^Registered: Biscuit \(left dorsal pedal\)\. Screened: no cautions\./)
    .first()
    .waitFor();
  expect(problems).toEqual([]);
  expect(ward.platform.warnings).toEqual([]);
}, 180_000);
