import type { ActAnswer, PageView, PersonAct } from '../page-messages.ts';
import type { RawValue } from '../platform/element-values.ts';
import { blockNode } from './blocks.ts';
import { busyWith, focusOn, freshId, h, isBusy, keepFocus, key, need } from './dom.ts';
import { type Drawing, type Press, placeOf } from './drawing.ts';
import { copyTyped, type Field, field } from './field.ts';
import { plain } from './markup.ts';

/** What a form needs of the reader it covers. */
export interface SheetHands {
  act: (act: PersonAct) => Promise<ActAnswer>;
  drawing: () => Omit<Drawing, 'press'>;
  refresh: () => Promise<void>;
  /** Where the focus goes when the form has closed and what opened it is gone. */
  restingPlace: () => HTMLElement;
  whoName: () => string;
}

const usableThings = 'input, select, textarea, button';

/** The form that covers a reader while one is open for that person. */
export class Sheet {
  readonly node = h('div', { class: 'sheet-holder' });
  readonly #hands: SheetHands;
  #shown: { view: PageView; written: string; body: HTMLFormElement; fields: readonly Field[] } | null = null;
  #opener: Element | null = null;

  constructor(hands: SheetHands) {
    this.#hands = hands;
  }

  /** Shows the person's open view, or nothing; true when a view has just appeared. */
  show(view: PageView | undefined): boolean {
    const before = this.#shown;
    if (!view) {
      if (before) this.#takeAway();
      return false;
    }
    const written = JSON.stringify(view);
    if (before?.written === written) return false;
    if (!before) this.#opener = document.activeElement;
    const draw = () => this.#draw(view, written);
    if (before?.view.id !== view.id) {
      draw();
      return true;
    }
    // What the person typed stays when the app draws the same form anew.
    keepFocus(this.node, draw, () => this.#shown?.body ?? null);
    for (const { name, control } of this.#shown?.fields ?? []) {
      const old = before.fields.find((one) => one.name === name)?.control;
      if (old?.tagName === control.tagName) copyTyped(old, control);
    }
    return false;
  }

  focusFirst(): void {
    const { body } = this.#shown ?? {};
    if (!body) return;
    const wrong = body.querySelector('[aria-invalid="true"]');
    const asked = body.querySelector('[data-focus]');
    focusOn(wrong ?? asked ?? body.querySelector(usableThings) ?? body);
  }

  #takeAway(): void {
    const { activeElement } = document;
    const hadFocus = this.node.contains(activeElement) || activeElement === document.body;
    this.#shown = null;
    this.node.replaceChildren();
    if (hadFocus) focusOn(this.#opener?.isConnected ? this.#opener : this.#hands.restingPlace());
    this.#opener = null;
  }

  #values(): Record<string, RawValue> {
    return Object.fromEntries((this.#shown?.fields ?? []).map(({ name, read }) => [name, read()]));
  }

  #say(text: string): void {
    need('.sheet-said', HTMLElement, this.node).textContent = text;
  }

  async #submit(viewId: string): Promise<void> {
    const send = need('.sheet-send', HTMLElement, this.node);
    if (isBusy(send)) return;
    this.#say('');
    const answer = await busyWith(send, async () => {
      const said = await this.#hands.act({ kind: 'submit', viewId, values: this.#values() });
      await this.#hands.refresh();
      return said;
    });
    if (!this.#shown || !answer || answer.accepted) return;
    if (answer.problem) this.#say(answer.problem);
    else if (Object.keys(answer.errors ?? {}).length > 0) this.focusFirst();
    else this.#say('The bot did not answer in time. The form is still as you filled it; send it again.');
  }

  async #close(viewId: string): Promise<void> {
    await this.#hands.act({ kind: 'close', viewId });
    await this.#hands.refresh();
  }

  async #press(viewId: string, press: Press): Promise<void> {
    await this.#hands.act({ kind: 'press', viewId, values: this.#values(), ...press });
    await this.#hands.refresh();
  }

  #draw(view: PageView, written: string): void {
    const drawing: Drawing = {
      ...this.#hands.drawing(),
      press: (press) => this.#press(view.id, press),
      held: (block, element) => {
        const { blockId, actionId } = placeOf(block, element);
        return view.values[blockId]?.[actionId];
      },
    };
    const titleId = freshId('sheet');
    const fields: Field[] = [];
    const body = h(
      'form',
      {
        class: 'sheet-body',
        novalidate: true,
        tabindex: '-1',
        onsubmit: (event) => {
          event.preventDefault();
          return this.#submit(view.id);
        },
        id: freshId('form'),
      },
      view.blocks.map((block) => {
        if (block.type !== 'input') return blockNode(drawing, block, 'h3');
        const drawn = field(drawing, view, block);
        fields.push(drawn);
        return drawn.node;
      }),
      h('p', { class: 'sheet-said', role: 'alert' }),
    );
    // Words alone, such as help: the keyboard must reach what it is to scroll.
    if (!body.querySelector(`${usableThings}, a`)) {
      body.tabIndex = 0;
      body.setAttribute('aria-labelledby', titleId);
    }
    this.#shown = { view, written, body, fields };
    this.node.replaceChildren(this.#framed(view, titleId, body));
  }

  #framed(view: PageView, titleId: string, body: HTMLFormElement): Node {
    const close = () => this.#close(view.id);
    return h(
      'section',
      {
        class: 'sheet',
        role: 'dialog',
        'aria-labelledby': titleId,
        'data-view': view.id,
        onkeydown: ({ key: pressed }) => (pressed === 'Escape' ? close() : undefined),
      },
      h(
        'header',
        { class: 'sheet-head' },
        h('h3', { id: titleId }, plain(view.title?.text ?? '')),
        h('p', { class: 'sheet-who' }, this.#hands.whoName()),
      ),
      body,
      h(
        'footer',
        { class: 'sheet-keys' },
        key(view.close?.text ?? (view.depth > 1 ? 'Back' : 'Close'), close, { 'data-key': 'close' }),
        view.submit &&
          h(
            'button',
            { type: 'submit', class: 'key key-primary sheet-send', 'data-key': 'send', form: body.id },
            plain(view.submit.text),
          ),
      ),
    );
  }
}
