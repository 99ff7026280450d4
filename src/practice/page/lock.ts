import type { Notified } from '../platform/mentions.ts';
import { h } from './dom.ts';
import type { Words } from './drawing.ts';
import { lockLine } from './markup.ts';
import { messageAtMs } from './slips.ts';
import { clockTime } from './ward-time.ts';

const whyWords: Readonly<Record<Notified['why'], string>> = {
  'direct message': 'Direct message',
  mention: 'Names you',
  broadcast: 'To everybody',
};
const lockCharacters = 140;

/** The newest line as a locked phone shows it. `why` it rang; without, it is the ward's newest. */
export class Lock {
  readonly #when = h('span', { class: 'lock-when' });
  readonly #line = h('span', { class: 'lock-line' });
  readonly node = h('p', { class: 'lock', hidden: true }, this.#when, this.#line);

  draw(words: Words, last: { line: string; ts: string; why?: Notified['why'] } | undefined): void {
    this.node.hidden = !last;
    if (!last) return;
    const full = lockLine(words, last.line);
    const what = last.why ? `Lock screen · ${whyWords[last.why]}` : 'Latest line';
    this.#when.textContent = `${what} · ${clockTime(words.state.wardZone, messageAtMs(last.ts))}`;
    this.#line.textContent = full.length > lockCharacters ? `${full.slice(0, lockCharacters - 1)}…` : full;
  }
}
