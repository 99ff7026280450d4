import { blockNode, pictureFigure } from './blocks.js';
import { h, keepFocus } from './dom.js';
import { mrkdwn } from './markup.js';
import { clockTime } from './ward-time.js';

/** Seconds of ward time of a message timestamp, as milliseconds. */
export const messageAtMs = (ts) => Math.floor(Number(ts) * 1000);

function who(ctx, message) {
  if (message.fromPlatform) return 'Practice ward';
  return ctx.state.people.find(({ id }) => id === message.user)?.name ?? ctx.state.botName;
}

const sizeText = (bytes) =>
  bytes < 1_000
    ? `${bytes} B`
    : bytes < 1e6
      ? `${Math.round(bytes / 1_000)} kB`
      : `${(bytes / 1e6).toFixed(1)} MB`;

function attachment(ctx, file) {
  const address = ctx.fileAddress(file.id);
  if (file.mimetype.startsWith('image/'))
    return pictureFigure(address, file.alt_txt || file.title, h('span', {}, file.title));
  return h(
    'p',
    { class: 'slip-file' },
    h('span', { class: 'slip-file-name' }, file.name),
    h('span', { class: 'slip-note' }, sizeText(file.size)),
    h('a', { class: 'key', href: address, download: file.name, 'aria-label': `Save ${file.name}` }, 'Save'),
  );
}

/** Keys for what the app offers in the menu of a message; drawn where somebody attached files. */
function shortcuts(ctx, message) {
  const isFromPerson = ctx.state.people.some(({ id }) => id === message.user);
  if (!message.files?.length || !isFromPerson || ctx.state.shortcuts.length === 0) return null;
  const names = message.files.map(({ name }) => name).join(', ');
  return h(
    'div',
    { class: 'block-actions' },
    ctx.state.shortcuts.map(({ callbackId, name }) => {
      const node = h(
        'button',
        {
          type: 'button',
          class: 'key',
          'data-key': `shortcut/${message.ts}/${callbackId}`,
          'aria-label': `${name}: ${names}`,
          onclick: async () => {
            if (node.getAttribute('aria-disabled') === 'true') return;
            node.setAttribute('aria-disabled', 'true');
            await ctx.shortcutOn(message, callbackId);
            node.removeAttribute('aria-disabled');
          },
        },
        name,
      );
      return node;
    }),
  );
}

/** True for a message in another's thread. */
export const isReply = (message) => message.thread_ts !== undefined && message.thread_ts !== message.ts;

/** Messages in the order they are drawn: each reply after what it replies to, where that is still drawn. */
export function byThread(messages) {
  const known = new Set(messages.map(({ ts }) => ts));
  const isUnder = (message) => isReply(message) && known.has(message.thread_ts);
  const replies = Map.groupBy(messages.filter(isUnder), ({ thread_ts: root }) => root);
  return messages
    .filter((message) => !isUnder(message))
    .flatMap((message) => [message, ...(replies.get(message.ts) ?? [])]);
}

function slip(ctx, message) {
  const zone = ctx.state.wardZone;
  const isPrivate = message.reader !== undefined;
  const updatedMs = message.edited ? messageAtMs(message.edited.ts) : null;
  const messageCtx = {
    ...ctx,
    press: (press) => ctx.pressIn(message, press),
  };
  const root = isReply(message) ? ctx.messageByTs(message.thread_ts) : undefined;
  return h(
    'li',
    {
      class: `slip${isPrivate ? ' slip-private' : ''}${root ? ' slip-reply' : ''}`,
    },
    h(
      'time',
      { class: 'slip-time', datetime: new Date(messageAtMs(message.ts)).toISOString() },
      clockTime(zone, messageAtMs(message.ts)),
    ),
    h(
      'article',
      {
        class: 'slip-body',
        tabindex: '-1',
        'aria-label': `${who(ctx, message)}, ${clockTime(zone, messageAtMs(message.ts))}`,
      },
      h(
        'p',
        { class: 'slip-who' },
        h('b', {}, who(ctx, message)),
        isPrivate ? h('span', { class: 'slip-note' }, 'Only you see this') : null,
        updatedMs
          ? h('span', { class: 'slip-note slip-updated' }, `Updated ${clockTime(zone, updatedMs)}`)
          : null,
        isReply(message)
          ? h(
              'span',
              { class: 'slip-note' },
              root ? `Reply to ${clockTime(zone, messageAtMs(root.ts))}` : 'Reply to an earlier message',
            )
          : null,
      ),
      message.blocks?.length
        ? message.blocks.map((block) => blockNode(messageCtx, block, 'h3'))
        : message.text
          ? h('div', { class: 'block-text' }, mrkdwn(ctx, message.text))
          : null,
      (message.files ?? []).map((file) => attachment(ctx, file)),
      shortcuts(ctx, message),
    ),
  );
}

/**
 * Draws a list of messages into `list`, touching only those that changed; `drawn` remembers what was drawn. The
 * focus stays on the same button after an update, or goes to the message when the button is gone.
 */
export function drawSlips(ctx, list, messages, drawn) {
  const wanted = new Map(messages.map((message) => [message.ts, message]));
  for (const [ts, { node }] of drawn)
    if (!wanted.has(ts)) {
      node.remove();
      drawn.delete(ts);
    }
  let previous = null;
  for (const [ts, message] of wanted) {
    const written = JSON.stringify(message);
    const known = drawn.get(ts);
    let node = known?.node;
    if (known?.written !== written) {
      const fresh = slip(ctx, message);
      if (known) {
        if (message.edited) fresh.classList.add('slip-fresh');
        keepFocus(
          list,
          () => node.replaceWith(fresh),
          () => fresh.querySelector('article'),
        );
      }
      node = fresh;
      drawn.set(ts, { node, written });
    }
    const place = previous ? previous.nextSibling : list.firstChild;
    if (place !== node) list.insertBefore(node, place);
    previous = node;
  }
}
