import type { Page } from 'playwright-core';
import { expect } from 'vitest';
import { axeFaults } from '../practice/axe.ts';
import { keepPicture } from '../practice/ward-page.ts';

/** Looks at a screen as axe does, in both themes, and keeps a picture of it for people. */
export async function look(page: Page, name: string): Promise<void> {
  await keepPicture(page, `bot-${name}`);
  expect(await axeFaults(page), name).toEqual([]);
}

/** The same of a form or page that lies on top, where what is below it was looked at before. */
export async function lookOnTop(page: Page, name: string): Promise<void> {
  await keepPicture(page, `bot-${name}`);
  expect(await axeFaults(page, '.sheet'), name).toEqual([]);
}

/** Nothing on the screen reaches beyond its edges, and no button's words beyond the button. */
export async function nothingCut(page: Page): Promise<void> {
  const width = page.viewportSize()?.width ?? 0;
  const cut = await page
    .locator(
      ':is(button, p, span, div, input, h1, h2, h3, legend, label):not(.unseen, .reader-head *):visible',
    )
    .evaluateAll(
      (nodes, edge) =>
        nodes
          .filter((node) => {
            const { left, right } = node.getBoundingClientRect();
            const isTooLong = node.tagName === 'BUTTON' && node.scrollWidth > node.clientWidth + 1;
            return right > left && (right > edge + 1 || left < -1 || isTooLong);
          })
          .map((node) => node.outerHTML.slice(0, 120)),
      width,
    );
  expect(cut).toEqual([]);
}
