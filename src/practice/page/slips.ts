import type { PageFile, PageMessage } from '../page-messages.ts';
import { fileAddress } from './api.ts';
import { blockNode, pictureFigure } from './blocks.ts';
import { busyWith, type Child, h, keepFocus, key } from './dom.ts';
import type { Drawing, Press } from './drawing.ts';
import { mrkdwn } from './markup.ts';
import { clockTime } from './ward-time.ts';

/** What messages are drawn from, and what is done in them. */
export interface MessageDrawing extends Omit<Drawing, 'press'> {
  messageByTs: (ts: string) => PageMessage | undefined;
  shortcutOn: (message: PageMessage, callbackId: string) => Promise<unknown>;
  pressIn: (message: PageMessage, press: Press) => Promise<unknown>;
}

/** Seconds of ward time of a message timestamp, as milliseconds. */
export const messageAtMs = (ts: string): number => Math.floor(Number(ts) * 1000);

/** The timestamp of the newest of these messages, as a number; 0 where there is none. */
export const newestTs = (messages: readonly PageMessage[]): number =>
  Math.max(0, ...messages.map(({ ts }) => Number(ts)));

function who({ state }: MessageDrawing, { fromPlatform, user }: PageMessage): string {
  if (fromPlatform) return 'Practice ward';
  return state.people.find(({ id }) => id === user)?.name ?? state.botName;
}

const sizeText = (bytes: number) =>
  bytes < 1_000
    ? `${bytes} B`
    : bytes < 1e6
      ? `${Math.round(bytes / 1_000)} kB`
      : `${(bytes / 1e6).toFixed(1)} MB`;

const note = (words: Child, more = '') => h('span', { class: `slip-note${more}` }, words);

function attachment({ id, name, title, mimetype, size, alt_txt: alt }: PageFile): Node {
  const address = fileAddress(id);
  if (mimetype.startsWith('image/')) return pictureFigure(address, alt || title, h('span', {}, title));
  return h(
    'p',
    { class: 'slip-file' },
    h('span', { class: 'slip-file-name' }, name),
    note(sizeText(size)),
    h('a', { class: 'key', href: address, download: name, 'aria-label': `Save ${name}` }, 'Save'),
  );
}

/** Keys for what the app offers in the menu of a message; drawn where somebody attached files. */
function shortcuts(drawing: MessageDrawing, message: PageMessage): Child {
  const { people, shortcuts: offered } = drawing.state;
  const isFromPerson = people.some(({ id }) => id === message.user);
  if (!message.files?.length || !isFromPerson || offered.length === 0) return null;
  const names = message.files.map(({ name }) => name).join(', ');
  return h(
    'div',
    { class: 'block-actions' },
    offered.map(({ callbackId, name }) => {
      const node = key(name, () => busyWith(node, () => drawing.shortcutOn(message, callbackId)), {
        'data-key': `shortcut/${message.ts}/${callbackId}`,
        'aria-label': `${name}: ${names}`,
      });
      return node;
    }),
  );
}

/** The message to whose thread this one belongs, by its timestamp; undefined where it is in none but its own. */
const rootTs = ({ ts, thread_ts: root }: PageMessage) => (root === ts ? undefined : root);

/** True for a message in another's thread. */
export const isReply = (message: PageMessage): boolean => rootTs(message) !== undefined;

/** Messages in the order they are drawn: each reply after what it replies to, where that is still drawn. */
export function byThread(messages: readonly PageMessage[]): PageMessage[] {
  const known = new Set(messages.map(({ ts }) => ts));
  const replies = Map.groupBy(messages, (message) => {
    const root = rootTs(message);
    return root !== undefined && known.has(root) ? root : undefined;
  });
  return (replies.get(undefined) ?? []).flatMap((message) => [message, ...(replies.get(message.ts) ?? [])]);
}

function slipHead(drawing: MessageDrawing, message: PageMessage): Node {
  const { wardZone: zone } = drawing.state;
  const repliesTo = rootTs(message);
  const root = repliesTo === undefined ? undefined : drawing.messageByTs(repliesTo);
  return h(
    'p',
    { class: 'slip-who' },
    h('b', {}, who(drawing, message)),
    message.reader === undefined ? null : note('Only you see this'),
    message.edited
      ? note(`Updated ${clockTime(zone, messageAtMs(message.edited.ts))}`, ' slip-updated')
      : null,
    repliesTo === undefined
      ? null
      : note(root ? `Reply to ${clockTime(zone, messageAtMs(root.ts))}` : 'Reply to an earlier message'),
  );
}

function slip(drawing: MessageDrawing, message: PageMessage): HTMLElement {
  const atMs = messageAtMs(message.ts);
  const at = clockTime(drawing.state.wardZone, atMs);
  const repliesTo = rootTs(message);
  const isUnderRoot = repliesTo !== undefined && drawing.messageByTs(repliesTo) !== undefined;
  const inMessage = { ...drawing, press: (press: Press) => drawing.pressIn(message, press) };
  return h(
    'li',
    {
      class: `slip${message.reader === undefined ? '' : ' slip-private'}${isUnderRoot ? ' slip-reply' : ''}`,
    },
    h('time', { class: 'slip-time', datetime: new Date(atMs).toISOString() }, at),
    h(
      'article',
      { class: 'slip-body', tabindex: '-1', 'aria-label': `${who(drawing, message)}, ${at}` },
      slipHead(drawing, message),
      message.blocks?.length
        ? message.blocks.map((block) => blockNode(inMessage, block, 'h3'))
        : message.text
          ? h('div', { class: 'block-text' }, mrkdwn(drawing, message.text))
          : null,
      (message.files ?? []).map(attachment),
      shortcuts(drawing, message),
    ),
  );
}

/** What was drawn of each message, by timestamp: its node, and the message as it was then. */
export type DrawnSlips = Map<string, { node: HTMLElement; written: string }>;

/**
 * Draws a list of messages into `list`, touching only those that changed; `drawn` remembers what was drawn. The
 * focus stays on the same button after an update, or goes to the message when the button is gone.
 */
export function drawSlips(
  drawing: MessageDrawing,
  list: HTMLElement,
  messages: readonly PageMessage[],
  drawn: DrawnSlips,
): void {
  const wanted = new Set(messages.map(({ ts }) => ts));
  for (const [ts, { node }] of drawn)
    if (!wanted.has(ts)) {
      node.remove();
      drawn.delete(ts);
    }
  let previous: Node | null = null;
  for (const message of messages) {
    const node = drawnSlip(drawing, list, message, drawn);
    const place: Node | null = previous ? previous.nextSibling : list.firstChild;
    if (place !== node) list.insertBefore(node, place);
    previous = node;
  }
}

/** The node of a message: the one that stands, where nothing changed. */
function drawnSlip(
  drawing: MessageDrawing,
  list: HTMLElement,
  message: PageMessage,
  drawn: DrawnSlips,
): HTMLElement {
  const written = JSON.stringify(message);
  const known = drawn.get(message.ts);
  if (known?.written === written) return known.node;
  const node = slip(drawing, message);
  if (known) {
    if (message.edited) node.classList.add('slip-fresh');
    keepFocus(
      list,
      () => known.node.replaceWith(node),
      () => node.querySelector('article'),
    );
  }
  drawn.set(message.ts, { node, written });
  return node;
}
