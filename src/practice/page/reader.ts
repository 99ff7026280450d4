import type { ActAnswer, PageMessage, PageState, PersonAct } from '../page-messages.ts';
import { act } from './api.ts';
import { Composer } from './composer.ts';
import { freshId, h } from './dom.ts';
import type { Press } from './drawing.ts';
import { Home } from './home.ts';
import { Lock } from './lock.ts';
import { MessageList } from './message-list.ts';
import { Sheet } from './sheet.ts';
import { type MessageDrawing, newestTs } from './slips.ts';
import { type Tab, Tabs } from './tabs.ts';

/** A person of the ward, as the page knows them. */
export type Person = PageState['people'][number];

/** What a reader needs of the page it stands on. */
export interface Ward {
  state: () => PageState;
  nowMs: () => number;
  /** Whether all readers stand side by side. */
  isWide: () => boolean;
  refresh: () => Promise<void>;
  redraw: () => void;
  /** Notes who has just acted, since the answer may appear in another reader. */
  acted: (reader: Reader) => void;
  askMore: () => void;
}

/** One reader at phone width. The wall has no lists of its own; presses in it are made by the chosen nurse. */
export class Reader {
  readonly title: string;
  readonly node: HTMLElement;
  readonly whoLine = h('div', { class: 'reader-who' });
  readonly #isWall: boolean;
  readonly #ward: Ward;
  readonly #said = h('p', { class: 'said', role: 'status' });
  readonly #home = new Home();
  readonly #lock = new Lock();
  readonly #list: MessageList;
  readonly #tabs: Tabs;
  readonly #composer: Composer;
  readonly #inner: HTMLElement;
  readonly #sheet: Sheet;
  #person: Person | null = null;
  #tab: Tab;
  /** Whose conversation the list shows now. */
  #listed = '';
  /** By conversation: the newest message a person has looked at. */
  readonly #seen: Record<string, number> = {};

  constructor(kind: 'nurse' | 'wall' | 'clinician', title: string, ward: Ward) {
    this.title = title;
    this.#ward = ward;
    this.#isWall = kind === 'wall';
    this.#tab = kind === 'clinician' ? 'direct' : 'ward';
    this.#list = new MessageList(this.#isWall ? 'region' : 'tabpanel', () => ward.askMore());
    this.#list.frame.append(this.#home.node);
    this.#tabs = new Tabs(this.#list.frame.id, this.#isWall, (tab) => this.#choose(tab));
    this.#composer = new Composer(
      {
        who: () => this.#actingId(),
        say: (text) => this.#say(text),
        act: (body) => this.#act(body),
        command: (words) => this.#command(words),
        acting: () => ward.acted(this),
        sent: () => {
          this.lookAtWard();
          this.#list.toEnd();
        },
      },
      this.#isWall,
    );
    this.#sheet = new Sheet({
      act: (body) => this.#act(body),
      drawing: () => this.#drawing(),
      refresh: () => ward.refresh(),
      restingPlace: () => this.#composer.menuKey,
      whoName: () => this.#person?.name ?? '',
    });
    this.#inner = h(
      'div',
      { class: 'reader-inner' },
      [this.whoLine, this.#lock.node, this.#tabs.node, this.#list.frame, this.#list.below],
      [this.#said, this.#composer.node],
    );
    const headingId = freshId('reader');
    this.node = h(
      'section',
      { class: `reader reader-${kind}`, 'aria-labelledby': headingId },
      h('header', { class: 'reader-head' }, h('h2', { id: headingId }, title)),
      this.#inner,
      this.#isWall ? null : this.#sheet.node,
    );
  }

  get person(): Person | null {
    return this.#person;
  }

  setPerson(next: Person): void {
    if (this.#person?.id === next.id) return;
    this.#person = next;
    this.#say('');
  }

  /** Messages not yet looked at, over both lists. */
  newCount(): number {
    return this.#newIn('ward') + (this.#isWall ? 0 : this.#newIn('direct'));
  }

  /** Takes everything there is now as seen, so that only what comes later counts as new. */
  markAllSeen(): void {
    for (const tab of ['ward', 'direct'] as const)
      this.#seen[this.#channelOf(tab)] ??= newestTs(this.#messagesIn(tab));
  }

  focusForm(): void {
    this.#sheet.focusFirst();
  }

  lookAtWard(): void {
    if (this.#tab !== 'ward') this.#choose('ward');
  }

  /** Draws everything anew; true when a form has just appeared. */
  draw(): boolean {
    const state = this.#ward.state();
    const isHome = this.#tab === 'home';
    this.#home.node.hidden = !isHome;
    this.#list.hide(isHome);
    this.#composer.node.hidden = this.#isWall || isHome;
    this.#composer.draw(state);
    const listed = `${this.#actingId()} ${this.#tab}`;
    const isOther = listed !== this.#listed;
    const wasAtEnd = this.#list.isAtEnd || isOther;
    this.#listed = listed;
    if (isOther) this.#list.empty();
    if (isHome) this.#drawHome(state);
    else this.#drawMessages(state, wasAtEnd);
    const tabId = this.#tabs.draw(this.#tab, (tab) => (tab === 'home' ? 0 : this.#newIn(tab)));
    if (!this.#isWall) this.#list.frame.setAttribute('aria-labelledby', tabId);
    this.#drawLock(state);
    if (wasAtEnd) this.#list.toEnd();
    if (this.#isWall) return false;
    const view = state.views[this.#actingId()];
    this.#inner.inert = view !== undefined;
    return this.#sheet.show(view);
  }

  #say(text: string): void {
    this.#said.textContent = text;
  }

  #actingId(): string {
    return this.#person?.id ?? '';
  }

  /** The conversation behind a tab; words typed on Home go, as from anywhere, into the ward channel. */
  #channelOf(tab: Tab): string {
    return tab === 'direct' ? `D${this.#actingId().slice(1)}` : this.#ward.state().ward.id;
  }

  #messagesIn(tab: Tab): PageMessage[] {
    const state = this.#ward.state();
    const channel = this.#channelOf(tab);
    const own = this.#isWall
      ? []
      : state.ephemerals.filter((one) => one.channel === channel && one.reader === this.#actingId());
    return [...(state.messages[channel] ?? []), ...own].sort(
      (left, right) => Number(left.ts) - Number(right.ts),
    );
  }

  #newIn(tab: Tab): number {
    const seen = this.#seen[this.#channelOf(tab)] ?? 0;
    return this.#messagesIn(tab).filter((message) => Number(message.ts) > seen).length;
  }

  async #act(body: PersonAct): Promise<ActAnswer> {
    const answer = await act({ user: this.#actingId(), ...body });
    if (answer.problem) this.#say(answer.problem);
    return answer;
  }

  /** Acts by a press or a choice, whose answer may appear in another reader. */
  #actAfresh(body: PersonAct): Promise<ActAnswer> {
    this.#say('');
    this.#ward.acted(this);
    return this.#act(body);
  }

  async #command(words: string): Promise<ActAnswer> {
    const { command } = this.#ward.state();
    const text = words.startsWith(command) ? words.slice(command.length).trim() : words;
    const where = this.#tab === 'direct' ? 'direct' : 'ward';
    const answer = await this.#act({ kind: 'slash', where, text });
    this.#list.toEnd();
    return answer;
  }

  #choose(tab: Tab): void {
    this.#tab = tab;
    this.#ward.redraw();
    if (tab === 'home') {
      this.#list.frame.scrollTop = 0;
      void this.#act({ kind: 'openHome' });
    } else this.#list.toEnd();
  }

  #drawing(): MessageDrawing {
    const channel = this.#channelOf(this.#tab);
    return {
      state: this.#ward.state(),
      nowMs: this.#ward.nowMs,
      act: (body) => this.#act(body),
      messageByTs: (ts) => this.#messagesIn(this.#tab).find((message) => message.ts === ts),
      shortcutOn: ({ ts: messageTs }, callbackId) =>
        this.#actAfresh({ kind: 'messageShortcut', channel, messageTs, callbackId }),
      pressIn: async ({ ts: messageTs }, press) => {
        const { problem } = await this.#actAfresh({ kind: 'press', messageTs, channel, ...press });
        if (this.#isWall && !problem) this.#say(`Done as ${this.#person?.name}.`);
      },
    };
  }

  #drawHome(state: PageState): void {
    const press = async (viewId: string, pressed: Press) => {
      await this.#actAfresh({ kind: 'press', viewId, ...pressed });
      await this.#ward.refresh();
    };
    const view = state.homes[this.#actingId()];
    this.#home.draw(this.#actingId(), view, this.#drawing(), press, this.#list.frame);
  }

  #drawMessages(state: PageState, wasAtEnd: boolean): void {
    const messages = this.#messagesIn(this.#tab);
    const channel = this.#channelOf(this.#tab);
    const isFront = this.node.dataset.front === 'yes' || this.#ward.isWide();
    if (isFront && document.visibilityState === 'visible') this.#seen[channel] = newestTs(messages);
    this.#list.draw(this.#drawing(), messages, {
      hasEarlier: state.hasEarlier[channel] ?? false,
      whenEmpty:
        this.#tab === 'ward' ? `Quiet so far. ${state.command} opens the menu.` : 'No direct messages yet.',
      wasAtEnd,
    });
  }

  #drawLock(state: PageState): void {
    const newest = state.messages[state.ward.id]?.findLast(({ text }) => text !== '');
    this.#lock.draw(
      this.#drawing(),
      this.#isWall ? newest && { line: newest.text, ts: newest.ts } : state.lines[this.#actingId()],
    );
  }
}
