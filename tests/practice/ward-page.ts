import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { type Browser, chromium, type Page } from 'playwright-core';
import { askShared } from '../support/ask-shared.ts';

/**
 * The Chromium that all files of this run share; their contexts share nothing: no storage, no cookies, no pages. Closing it closes
 * what was opened by this connection, and no more.
 */
export async function openChromium(): Promise<Browser> {
  return chromium.connect(await askShared('chromium'));
}

/** A phone held in one hand, a small one, and a desk screen. */
export const sizes = {
  small: { width: 360, height: 740 },
  phone: { width: 390, height: 844 },
  desk: { width: 1280, height: 900 },
} as const;

/** Opens the ward's page and waits until its readers are drawn. Anything the page logs as an error is collected. */
export async function openWardPage(
  browser: Browser,
  ward: { platform: { port: number } },
  look: { size: keyof typeof sizes; theme?: 'light' | 'dark'; at?: 'scenes' },
): Promise<{ page: Page; problems: string[] }> {
  const context = await browser.newContext({
    viewport: sizes[look.size],
    colorScheme: look.theme ?? 'light',
    hasTouch: look.size !== 'desk',
    reducedMotion: 'reduce',
  });
  // An empty ward, unless the test is about where to begin.
  if (look.at !== 'scenes')
    await context.addInitScript("sessionStorage.setItem('practice-empty-ward', 'yes')");
  const page = await context.newPage();
  const problems: string[] = [];
  page.on('console', (message) => {
    if (message.type() === 'error') problems.push(message.text());
  });
  page.on('pageerror', (error) => problems.push(error.message));
  await page.goto(`http://localhost:${ward.platform.port}/`);
  const first = look.at === 'scenes' ? /^A quiet evening/ : '/artline menu';
  await page.getByRole('button', { name: first }).first().waitFor();
  return { page, problems };
}

/** Keeps a picture of a page for people, in the folder that PICTURES names; without one there is none to take. */
export async function keepPicture(page: Page, name: string): Promise<void> {
  const folder = process.env['PICTURES'];
  if (folder === undefined || folder === '') return;
  mkdirSync(folder, { recursive: true });
  await page.screenshot({ path: join(folder, `${name}.png`) });
}
