import type { PageMessage } from '../page-messages.ts';
import { focusOn, freshId, h, key } from './dom.ts';
import { byThread, type DrawnSlips, drawSlips, isReply, type MessageDrawing } from './slips.ts';

const nearEndPixels = 80;

/** The messages of one conversation in a frame that scrolls, and the keys to those out of sight. */
export class MessageList {
  readonly #list = h('ol', { class: 'slips', role: 'list' });
  readonly #earlier: HTMLButtonElement;
  /** Leads to what is new and out of sight. */
  readonly below = key('New below', () => this.#goToNew(), { class: 'key below', hidden: true });
  readonly frame: HTMLElement;
  #drawn: DrawnSlips = new Map();
  /** Whether the newest message is in sight, so that the next one shall be. */
  isAtEnd = true;
  /** A reply is drawn under an older message, where nobody may be looking. */
  #unseenReply: HTMLElement | null = null;

  constructor(role: 'region' | 'tabpanel', askMore: () => void) {
    this.#earlier = key('Show earlier', askMore, { class: 'key earlier', hidden: true });
    this.frame = h(
      'div',
      {
        class: 'slips-frame',
        tabindex: '0',
        id: freshId('panel'),
        role,
        'aria-label': role === 'region' ? 'Messages' : null,
      },
      this.#earlier,
      this.#list,
    );
    this.frame.addEventListener('scroll', () => this.#scrolled());
    // Pictures that load and notices that appear must not push the newest message out of sight.
    const stay = new ResizeObserver(() => {
      if (this.isAtEnd) this.toEnd();
    });
    stay.observe(this.frame);
    stay.observe(this.#list);
  }

  /** Begins anew, for another conversation or another person. */
  empty(): void {
    this.#drawn = new Map();
    this.#list.replaceChildren();
    this.#unseenReply = null;
  }

  /** Makes room for what else the frame may show. */
  hide(isHidden: boolean): void {
    this.#list.hidden = isHidden;
    if (!isHidden) return;
    this.#earlier.hidden = true;
    this.below.hidden = true;
  }

  draw(
    drawing: MessageDrawing,
    unsorted: readonly PageMessage[],
    { hasEarlier, whenEmpty, wasAtEnd }: { hasEarlier: boolean; whenEmpty: string; wasAtEnd: boolean },
  ): void {
    const messages = byThread(unsorted);
    const knownTs = new Set(this.#drawn.keys());
    drawSlips(drawing, this.#list, messages, this.#drawn);
    this.#list.classList.toggle('slips-empty', messages.length === 0);
    this.#list.dataset.empty = whenEmpty;
    this.#earlier.hidden = !hasEarlier;
    if (wasAtEnd) this.toEnd();
    if (knownTs.size > 0) this.#pointAtNew(messages, knownTs);
  }

  toEnd(): void {
    // What else the frame shows is read from its top.
    if (this.#list.hidden) return;
    this.isAtEnd = true;
    this.frame.scrollTop = this.frame.scrollHeight;
    if (!this.#unseenReply) this.below.hidden = true;
  }

  #scrolled(): void {
    const { scrollHeight, scrollTop, clientHeight } = this.frame;
    this.isAtEnd = scrollHeight - scrollTop - clientHeight < nearEndPixels;
    const reply = this.#unseenReply;
    if (reply && (!reply.isConnected || this.#isInView(reply))) this.#unseenReply = null;
    else if (reply || !this.isAtEnd) return;
    this.below.hidden = true;
  }

  #isInView(one: Element): boolean {
    const { top, bottom } = one.getBoundingClientRect();
    const frame = this.frame.getBoundingClientRect();
    return bottom > frame.top && top < frame.bottom;
  }

  #goToNew(): void {
    const reply = this.#unseenReply;
    if (!reply) {
      this.toEnd();
      return;
    }
    this.#unseenReply = null;
    this.below.hidden = true;
    reply.scrollIntoView({ block: 'nearest' });
    focusOn(reply.querySelector('article'), { preventScroll: true });
  }

  #pointAtNew(messages: readonly PageMessage[], knownTs: ReadonlySet<string>): void {
    const fresh = messages.filter(({ ts }) => !knownTs.has(ts));
    const reply = fresh.findLast((message) => isReply(message) && message !== messages.at(-1));
    const place = reply && this.#drawn.get(reply.ts)?.node;
    if (place && !this.#isInView(place)) this.#unseenReply = place;
    else if (fresh.length === 0 || this.isAtEnd) return;
    this.below.textContent = this.#unseenReply ? 'New reply' : 'New below';
    this.below.hidden = false;
  }
}
