import { AxeBuilder } from '@axe-core/playwright';
import type { Page } from 'playwright-core';
import { expect } from 'vitest';
import { picturePath } from '../practice/ward-page.ts';

/** Looks at a screen as axe does (WCAG 2.2 A and AA), and keeps a picture of it for people. */
export async function look(page: Page, name: string): Promise<void> {
  await page.screenshot({ path: picturePath(`bot-${name}`) });
  const found = await new AxeBuilder({ page })
    .withTags(['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa', 'best-practice'])
    .analyze();
  const wrong = found.violations.flatMap(({ id, nodes }) =>
    nodes.map(({ target }) => `${id}: ${target.join(' ')}`),
  );
  expect(wrong, name).toEqual([]);
}
