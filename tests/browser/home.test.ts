import type { Browser } from 'playwright-core';
import { expect, it } from 'vitest';
import { openWardPage } from '../practice/ward-page.ts';
import { look, nothingCut } from './look.ts';
import { onWholeWards } from './on-whole-wards.ts';
import type { WholeWard } from './whole-ward.ts';

let browser: Browser;
let ward: WholeWard;
onWholeWards(Date.parse('2026-11-24T19:20:00Z'), (stage) => {
  ({ browser, ward } = stage);
});

async function place(words: string) {
  await ward.platform.slash({ user: 'ina', text: `place ${words}` });
  const form = await ward.platform.until('the form', () => ward.platform.view('ina'));
  expect((await ward.platform.submit({ user: 'ina', viewId: form.id })).errors).toEqual({});
}

// 360 px: the narrowest phones that are still common; from memory.
it('Home at 360 px shows my lines whole, takes All done and says so', async () => {
  await place('Biscuit dog 28kg left dorsal pedal 20g manual');
  await place('Wilhelmina-von-Hohenstaufen cat 4kg median caudal 24g manual');
  const { page, problems } = await openWardPage(browser, ward, { size: 'small' });
  const nurse = page.getByRole('region', { name: 'Nurse', exact: true });
  await nurse.getByRole('tab', { name: 'Home' }).tap();
  await nurse.getByText('2 lines are yours; all of them due now.').waitFor();
  await nothingCut(page);
  await look(page, 'home');
  await nurse
    .getByRole('button', { name: /^All done: / })
    .first()
    .tap();
  await nurse
    .getByText(/^Recorded for Biscuit/)
    .first()
    .waitFor();
  // How each trace rang is told line by line.
  await nurse.getByText('Zero and level').first().waitFor({ state: 'detached' });
  await nurse.getByText('Fast-flush test').first().waitFor();
  await nothingCut(page);
  await look(page, 'home-done');
  await nurse.getByRole('button', { name: 'Menu', exact: true }).tap();
  const menu = page.getByRole('dialog', { name: 'Arterial lines' });
  await menu.getByRole('button', { name: 'Mine, due now' }).tap();
  const mine = page.getByRole('dialog', { name: 'Mine, due now' });
  await mine.getByText('Fast-flush test').first().waitFor();
  await nothingCut(page);
  await look(page, 'mine');
  expect(problems).toEqual([]);
}, 90_000);
