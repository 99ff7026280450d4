import type { Browser } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { foldLine } from '../../src/domain/fold/fold-line.ts';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import { foldWard } from '../../src/domain/ward/ward-state.ts';
import { yearOfLines } from '../../src/invented/year-of-lines.ts';
import { openWardPage } from '../practice/ward-page.ts';
import { look } from './look.ts';
import { onWholeWards } from './on-whole-wards.ts';
import type { WholeWard } from './whole-ward.ts';

const startMs = Date.parse('2026-11-24T19:20:00Z');
let browser: Browser;
let ward: WholeWard;
onWholeWards(startMs, (stage) => {
  ({ browser, ward } = stage);
});

/** Puts an invented year of closed lines into the ward's record. */
async function bringIn(lines: number): Promise<void> {
  const { record } = ward.service;
  const year = yearOfLines({ seed: 'browser', lines, endMs: startMs, zone: 'UTC' });
  const after = foldWard(year.wardId, defaultPolicy('UTC'), year.wardEntries);
  await record.commit(year.wardId, {
    lines: year.lines.map(({ id, entries }) => ({
      id,
      expected: 0,
      entries,
      after: foldLine(id, entries),
      listed: false,
    })),
    ward: { expected: 0, entries: year.wardEntries, after },
    wakes: {},
    posts: [],
  });
}

describe('an audit on a phone', () => {
  it('is asked for in three taps and reads in direct messages, with pictures that have words', async () => {
    await bringIn(60);
    const { page, problems } = await openWardPage(browser, ward, { size: 'phone', theme: 'light' });
    const nurse = page.getByRole('region', { name: 'Nurse', exact: true });
    await nurse.getByRole('button', { name: '/artline menu' }).tap();
    await page.getByRole('dialog', { name: 'Arterial lines' }).getByRole('button', { name: 'Audit…' }).tap();
    const form = page.getByRole('dialog', { name: 'Audit', exact: true });
    await form.getByText('Last year').tap();
    await form.getByRole('button', { name: 'Count' }).tap();
    await nurse.getByText(/^Counting the lines of 24 Nov 2025 to 24 Nov 2026\./).waitFor();
    await nurse.getByRole('tab', { name: /^Direct messages/ }).tap();
    const report = nurse.getByText(/60 lines were in at some time/).first();
    // A quick count says nothing further in the channel.
    await report.waitFor({ timeout: 30_000 });
    await nurse.getByText(/Only you and the ward lead see this/).waitFor();
    await look(page, 'audit-end');
    await report.scrollIntoViewIfNeeded();
    await look(page, 'audit-report');
    expect(problems).toEqual([]);
    expect(ward.platform.warnings).toEqual([]);
  }, 300_000);
});
