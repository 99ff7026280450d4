import type { PageView } from '../page-messages.ts';
import { blockNode } from './blocks.ts';
import { h, keepFocus } from './dom.ts';
import type { Drawing, Press } from './drawing.ts';

/** The bot's own page for one person, as it stands; nothing before it was opened. */
export class Home {
  readonly node = h('div', { class: 'home', hidden: true });
  #written = '';

  draw(
    person: string,
    view: PageView | undefined,
    drawing: Omit<Drawing, 'press'>,
    pressIn: (viewId: string, press: Press) => Promise<unknown>,
    fallback: Element,
  ): void {
    const written = JSON.stringify([person, view ?? null]);
    if (written === this.#written) return;
    this.#written = written;
    const blocks = view?.blocks.map((block) =>
      blockNode({ ...drawing, press: (press) => pressIn(view.id, press) }, block, 'h3'),
    );
    keepFocus(
      this.node,
      () => this.node.replaceChildren(...(blocks ?? [])),
      () => fallback,
    );
  }
}
