import type { Browser, Page } from 'playwright-core';
import { expect, it } from 'vitest';
import { keepPicture, openWardPage } from '../practice/ward-page.ts';
import { look, nothingCut } from './look.ts';
import { onWholeWards } from './on-whole-wards.ts';
import type { WholeWard } from './whole-ward.ts';

let browser: Browser;
let ward: WholeWard;
onWholeWards(Date.parse('2026-11-24T15:03:00Z'), (stage) => {
  ({ browser, ward } = stage);
});

const front = (page: Page, name: string) =>
  page.getByRole('navigation', { name: 'Choose a reader' }).getByRole('button', { name }).tap();

// 360 px: the narrowest phones that are still common; from memory.
it('the first visit offers three scenes and an empty ward at 360 px, plays one, and begins again with a ward to set up', async () => {
  const { page, problems } = await openWardPage(browser, ward, { size: 'small', at: 'scenes' });
  for (const title of ['A quiet evening', 'A busy night', 'A handover in ten minutes', 'An empty ward'])
    await page.getByRole('button', { name: title }).waitFor();
  await nothingCut(page);
  await look(page, 'scenes');
  await page.getByRole('button', { name: 'A busy night' }).tap();
  const nurse = page.getByRole('region', { name: 'Nurse', exact: true });
  await nurse.waitFor({ timeout: 60_000 });
  await nurse.getByText('Arterial line, median caudal').waitFor();
  await nothingCut(page);
  await look(page, 'scene-cat');
  await front(page, 'On-call clinician');
  const clinician = page.getByRole('region', { name: 'On-call clinician', exact: true });
  await clinician
    .getByText(/^PEPPER dog: mean 53 mmHg/)
    .first()
    .waitFor();
  await nothingCut(page);
  await look(page, 'scene-cat-clinician');

  await front(page, 'Ward channel');
  await page.getByRole('button', { name: 'Start again…' }).tap();
  await nothingCut(page);
  await page.getByRole('button', { name: 'Tap again to empty this ward' }).tap();
  await page.getByRole('button', { name: 'An empty ward' }).tap();
  const channel = page.getByRole('region', { name: 'Ward channel', exact: true });
  await nurse.or(channel).first().waitFor();
  expect((await ward.service.record.readWard('T0PRACTICE.C0WARDEAST')).lines).toEqual([]);

  // The bot is invited into it, and offers to set the ward up.
  await front(page, 'Ward channel');
  const key = channel.getByRole('button', { name: 'Set this ward up…' });
  await key.waitFor();
  await nothingCut(page);
  await look(page, 'set-up-offered');
  await key.tap();
  const form = page.getByRole('dialog', { name: 'Set this ward up' });
  await form.waitFor();
  await nothingCut(page);
  await look(page, 'set-up-form');
  await form.getByText('All late care as well').scrollIntoViewIfNeeded();
  await keepPicture(page, 'bot-set-up-form-end');
  await form.getByRole('button', { name: 'Save' }).tap();
  await form.waitFor({ state: 'detached' });
  await front(page, 'Ward channel');
  await channel
    .getByText(/^This ward was set up by/)
    .first()
    .waitFor();
  await key.waitFor({ state: 'detached' });
  await nothingCut(page);
  await look(page, 'set-up-done');
  expect(problems).toEqual([]);
}, 150_000);
