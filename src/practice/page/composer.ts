import type { ActAnswer, PageState, PersonAct } from '../page-messages.ts';
import { attachKey, exampleKeys } from './attach.ts';
import { freshId, h, key } from './dom.ts';

/** What the composer needs of its reader. */
export interface ComposerHands {
  who: () => string;
  say: (text: string) => void;
  act: (act: PersonAct) => Promise<ActAnswer>;
  /** Types words after the command. */
  command: (words: string) => Promise<ActAnswer>;
  /** Notes that this reader acts. */
  acting: () => void;
  /** Something went into the ward channel. */
  sent: () => void;
}

/** Where a person types, opens the menu, attaches files and takes shortcuts. */
export class Composer {
  readonly #hands: ComposerHands;
  readonly menuKey = key([], () => this.#command(''), { class: 'key key-menu' });
  readonly #words = h('input', {
    type: 'text',
    id: freshId('words'),
    autocomplete: 'off',
    autocapitalize: 'none',
    spellcheck: 'false',
    placeholder: 'or type more',
  });
  readonly #shortcuts = h('div', { class: 'composer-shortcuts' });
  readonly #attach: ReturnType<typeof attachKey>;
  readonly #examples: ReturnType<typeof exampleKeys>;
  readonly node: HTMLElement;

  constructor(hands: ComposerHands, isHidden: boolean) {
    this.#hands = hands;
    this.#attach = attachKey(hands);
    this.#examples = exampleKeys((name) => this.#shareExample(name));
    this.node = h(
      'form',
      {
        class: 'composer',
        hidden: isHidden,
        onsubmit: (event) => {
          event.preventDefault();
          return this.#command(this.#words.value.trim());
        },
      },
      h('div', { class: 'composer-keys' }, this.menuKey, this.#attach.node, this.#examples.key),
      this.#examples.choices,
      this.#shortcuts,
      h('label', { class: 'unseen', for: this.#words.id }, 'Words after the command'),
      this.#words,
      h('button', { type: 'submit', class: 'key' }, 'Send'),
    );
  }

  draw({ command, globalShortcuts, mostSharedMegabytes, exampleStrips }: PageState): void {
    this.#attach.draw(mostSharedMegabytes);
    this.#examples.draw(exampleStrips);
    this.menuKey.replaceChildren(h('span', {}, command), h('small', {}, 'menu'));
    if (this.#shortcuts.childElementCount === globalShortcuts.length) return;
    this.#shortcuts.replaceChildren(
      ...globalShortcuts.map(({ callbackId, name }) => {
        const title = `${name} (shortcut)`;
        return key('⚡', () => this.#shortcut(callbackId), { title, 'aria-label': title });
      }),
    );
  }

  async #command(text: string): Promise<void> {
    this.#hands.say('');
    this.menuKey.setAttribute('aria-disabled', 'true');
    this.#hands.acting();
    const { problem } = await this.#hands.command(text);
    this.menuKey.removeAttribute('aria-disabled');
    if (!problem) this.#words.value = '';
  }

  #shortcut(callbackId: string): Promise<ActAnswer> {
    this.#hands.say('');
    this.#hands.acting();
    return this.#hands.act({ kind: 'shortcut', callbackId });
  }

  async #shareExample(name: string): Promise<void> {
    this.#hands.say('');
    const { problem } = await this.#hands.act({ kind: 'shareExample', name });
    if (problem) return;
    this.#hands.say(`${name}: now in the ward channel.`);
    this.#hands.sent();
  }
}
