import { blockNode } from './blocks.js';
import { h, keepFocus } from './dom.js';
import { mrkdwn } from './markup.js';
import { clockTime } from './ward-time.js';

/** Seconds of ward time of a message timestamp, as milliseconds. */
export const messageAtMs = (ts) => Math.floor(Number(ts) * 1000);

function who(ctx, message) {
  if (message.fromPlatform) return 'Practice ward';
  return ctx.state.people.find(({ id }) => id === message.user)?.name ?? ctx.state.botName;
}

function attachment(ctx, file) {
  const address = ctx.fileAddress(file.id);
  return file.mimetype.startsWith('image/')
    ? h(
        'figure',
        {},
        h('img', { src: address, alt: file.alt_txt || file.title }),
        h('figcaption', {}, file.title),
      )
    : h('a', { class: 'key', href: address, download: file.name }, `Save ${file.name}`);
}

function slip(ctx, message) {
  const zone = ctx.state.wardZone;
  const isPrivate = message.reader !== undefined;
  const updatedMs = message.edited ? messageAtMs(message.edited.ts) : null;
  const messageCtx = {
    ...ctx,
    press: (press) => ctx.pressIn(message, press),
  };
  const root =
    message.thread_ts && message.thread_ts !== message.ts ? ctx.messageByTs(message.thread_ts) : undefined;
  return h(
    'li',
    {
      class: `slip${isPrivate ? ' slip-private' : ''}${message.user.startsWith('U0PRACT') ? '' : ' slip-person'}`,
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
        root ? h('span', { class: 'slip-note' }, `Reply to ${clockTime(zone, messageAtMs(root.ts))}`) : null,
      ),
      message.blocks?.length
        ? message.blocks.map((block) => blockNode(messageCtx, block, 'h3'))
        : message.text
          ? h('div', { class: 'block-text' }, mrkdwn(ctx, message.text))
          : null,
      (message.files ?? []).map((file) => attachment(ctx, file)),
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
