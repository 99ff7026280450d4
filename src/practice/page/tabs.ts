import { freshId, h } from './dom.ts';

const labels = { ward: 'Ward channel', direct: 'Direct messages', home: 'Home' };
/** What a reader can look at. */
export type Tab = keyof typeof labels;
const steps: Readonly<Record<string, number>> = { ArrowRight: 1, ArrowLeft: -1 };
const order: readonly Tab[] = ['ward', 'direct', 'home'];

/** The row of tabs above a reader's messages, each with what is new in it. */
export class Tabs {
  readonly #tabs: readonly { name: Tab; node: HTMLButtonElement; count: HTMLElement }[];
  readonly node: HTMLElement;

  constructor(panelId: string, isHidden: boolean, choose: (tab: Tab) => void) {
    this.#tabs = order.map((name, at) => {
      const count = h('span', { class: 'new-count' });
      const node = h(
        'button',
        {
          type: 'button',
          role: 'tab',
          id: freshId('tab'),
          class: 'tab',
          'aria-controls': panelId,
          'data-tab': name,
          onclick: () => choose(name),
          onkeydown: (event) => {
            const step = steps[event.key];
            const next = step && this.#tabs.at((at + step) % order.length);
            if (!next) return;
            event.preventDefault();
            choose(next.name);
            next.node.focus();
          },
        },
        h('span', {}, labels[name]),
        count,
      );
      return { name, node, count };
    });
    this.node = h(
      'div',
      { class: 'tabs', role: 'tablist', 'aria-label': 'Conversations', hidden: isHidden },
      this.#tabs.map(({ node }) => node),
    );
  }

  /** Shows which is chosen and how much is new in each; gives the id of the chosen one. */
  draw(chosen: Tab, newIn: (tab: Tab) => number): string {
    let chosenId = '';
    for (const { name, node, count } of this.#tabs) {
      const fresh = newIn(name);
      node.setAttribute('aria-selected', String(name === chosen));
      node.tabIndex = name === chosen ? 0 : -1;
      count.textContent = fresh > 0 ? `${fresh} new` : '';
      if (name === chosen) chosenId = node.id;
    }
    return chosenId;
  }
}
