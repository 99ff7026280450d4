import axe from 'axe-core';
import type { Page } from 'playwright-core';

/** WCAG 2.2 A and AA, and what axe holds for good practice besides. */
const tags = ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa', 'best-practice'];
/** All that a theme can change: nothing but colours. */
const ofColour = ['color-contrast', 'link-in-text-block'];

/**
 * What axe finds wrong on a page in the light and in the dark theme, as `rule: element`. The second looks at colours alone,
 * since both themes draw the same elements. Leaves the page in the theme it had. `within`: the part that is looked at.
 */
export async function axeFaults(page: Page, within = ':root'): Promise<string[]> {
  if (!(await page.evaluate('"axe" in window'))) await page.evaluate(axe.source);
  const faults = await faultsNow(page, within, { type: 'tag', values: tags });
  const isDark = await page.evaluate<boolean>('matchMedia("(prefers-color-scheme: dark)").matches');
  await page.emulateMedia({ colorScheme: isDark ? 'light' : 'dark' });
  faults.push(...(await faultsNow(page, within, { type: 'rule', values: ofColour })));
  await page.emulateMedia({ colorScheme: isDark ? 'dark' : 'light' });
  return faults;
}

function faultsNow(page: Page, within: string, runOnly: axe.RunOnly): Promise<string[]> {
  return page.evaluate<string[]>(
    `axe.run(${within === ':root' ? 'document' : JSON.stringify(within)}, ${JSON.stringify({ runOnly, resultTypes: ['violations'] })}).then(({ violations }) =>
      violations.flatMap(({ id, nodes }) => nodes.map(({ target }) => id + ': ' + target.join(' '))))`,
  );
}
