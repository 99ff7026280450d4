import type { Browser, Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { practiceOf, screenGroups } from '../../src/chat/help/screens.ts';
import { openWardPage, sizes } from '../practice/ward-page.ts';
import { look, lookOnTop } from './look.ts';
import { onWholeWards } from './on-whole-wards.ts';
import type { WholeWard } from './whole-ward.ts';

let browser: Browser;
let ward: WholeWard;
onWholeWards(Date.parse('2026-11-24T21:10:00Z'), (stage) => {
  ({ browser, ward } = stage);
});

const dialog = (page: Page, name: RegExp) => page.getByRole('dialog', { name });

async function openHelp(page: Page): Promise<void> {
  await page
    .getByRole('region', { name: 'Nurse', exact: true })
    .getByRole('button', { name: '/artline menu' })
    .tap();
  await dialog(page, /^Arterial lines/)
    .getByRole('button', { name: 'Help', exact: true })
    .tap();
  await dialog(page, /^Help/).waitFor();
}

/** How far what is on top runs, px: its own height when nothing is hidden. */
async function heightPx(page: Page): Promise<number> {
  return page
    .locator('.sheet-body')
    .last()
    .evaluate((body) => body.scrollHeight);
}

async function tooWide(page: Page): Promise<string[]> {
  return page
    .locator('.sheet-body :visible')
    .evaluateAll(
      (nodes, width) =>
        nodes.filter((node) => node.getBoundingClientRect().right > width).map((node) => node.outerHTML),
      sizes.phone.width,
    );
}

describe('help on a phone', () => {
  it('shows every verb on two screens at the most, and nothing of it is found wrong by axe', async () => {
    const { page, problems } = await openWardPage(browser, ward, { size: 'phone' });
    await openHelp(page);
    await look(page, 'help-list');
    for (const { verb, title } of screenGroups.flatMap(({ screens }) => screens)) {
      await page.getByRole('button', { name: `Learn: ${title}`, exact: true }).tap();
      await page.getByText('By typing:').waitFor();
      expect(await tooWide(page), verb).toEqual([]);
      expect(await heightPx(page), verb).toBeLessThan(2 * sizes.phone.height);
      await lookOnTop(page, `help-${verb}`);
      await page.getByRole('button', { name: 'All verbs' }).tap();
      await dialog(page, /^Help/).getByText('Before and placing').waitFor();
    }
    expect(problems).toEqual([]);
    expect(ward.platform.warnings).toEqual([]);
  }, 300_000);
});

describe('practice on a phone', () => {
  it('is marked on every page, and ends in what the real thing would answer', async () => {
    const { page, problems } = await openWardPage(browser, ward, { size: 'phone' });
    await openHelp(page);
    for (const { verb, title } of screenGroups.flatMap(({ screens }) => screens)) {
      if (practiceOf(verb) === undefined) continue;
      await page.getByRole('button', { name: `Learn: ${title}`, exact: true }).tap();
      await page.getByRole('button', { name: 'Practise this' }).tap();
      const practice = dialog(page, /^Practice/);
      await practice.getByText('Practice: nothing is recorded.').waitFor();
      expect(await tooWide(page), verb).toEqual([]);
      await lookOnTop(page, `practise-${verb}`);
      if (verb === 'flush' || verb === 'check' || verb === 'moved') {
        // Whether anybody looked is asked, here as in earnest.
        if (verb === 'check') await practice.getByText('Looked: nothing amiss').tap();
        await practice.getByRole('button', { name: 'Send as practice' }).tap();
        await practice.getByText('Practice only, nothing was recorded.').waitFor();
        await lookOnTop(page, `practised-${verb}`);
      }
      await practice.getByRole('button', { name: 'Back' }).tap();
      await page.getByRole('button', { name: 'All verbs' }).tap();
      await dialog(page, /^Help/).getByText('Before and placing').waitFor();
    }
    expect(problems).toEqual([]);
    expect(ward.platform.warnings).toEqual([]);
    expect(await ward.service.record.readCopy('T0PRACTICE.C0WARDEAST')).toBeNull();
  }, 300_000);
});
