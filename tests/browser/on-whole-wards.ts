import type { Browser } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach } from 'vitest';
import { openChromium } from '../practice/ward-page.ts';
import { startWholeWard, type WholeWard } from './whole-ward.ts';

const patienceMs = 30_000;

/** One browser for a file's tests, and for each test a whole ward whose clock begins at `startMs`; `ready` is handed both. */
export function onWholeWards(
  startMs: number,
  ready: (stage: { browser: Browser; ward: WholeWard }) => void,
): void {
  let browser: Browser;
  let ward: WholeWard;
  beforeAll(async () => {
    browser = await openChromium();
  });
  afterAll(() => browser.close());
  beforeEach(async () => {
    ward = await startWholeWard(startMs);
    ready({ browser, ward });
  }, patienceMs);
  afterEach(async () => {
    await Promise.all(browser.contexts().map((context) => context.close()));
    await ward.stop();
  }, patienceMs);
}
