import { mkdirSync } from 'node:fs';
import { tmpdir } from 'node:os';
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

/** Where pictures of the page go, for people to look at. */
export function picturePath(name: string): string {
  const folder = join(tmpdir(), 'practice-ward-pictures');
  mkdirSync(folder, { recursive: true });
  return join(folder, `${name}.png`);
}
