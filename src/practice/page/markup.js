import { h } from './dom.js';
import { datePattern } from './ward-time.js';

const unescape = (text) => text.replaceAll('&lt;', '<').replaceAll('&gt;', '>').replaceAll('&amp;', '&');

const emoji = { warning: '⚠️', white_check_mark: '✅', x: '❌', bell: '🔔', clock: '🕒' };

/** Plain text as a text node: nothing in it is markup except short names of a few signs. */
export function plain(text) {
  return document.createTextNode(text.replaceAll(/:([a-z_]+):/g, (whole, name) => emoji[name] ?? whole));
}

function personName(ctx, id) {
  return ctx.state.people.find((person) => person.id === id)?.name ?? ctx.state.botName;
}

/** A link to a web or mail address; anything else stays words. */
export function link(address, label) {
  if (!/^(https?|mailto):/.test(address)) return document.createTextNode(label);
  return h('a', { href: address, rel: 'noreferrer noopener', target: '_blank' }, label);
}

function bracketed(ctx, inner) {
  const bar = inner.indexOf('|');
  const target = bar < 0 ? inner : inner.slice(0, bar);
  const label = bar < 0 ? '' : unescape(inner.slice(bar + 1));
  if (target.startsWith('@'))
    return h('span', { class: 'mention' }, `@${label || personName(ctx, target.slice(1))}`);
  if (target.startsWith('#')) {
    const channel = ctx.state.channels.find(({ id }) => id === target.slice(1));
    return h('span', { class: 'mention' }, `#${label || channel?.name || 'channel'}`);
  }
  if (target.startsWith('!date^')) {
    const [, seconds, pattern] = target.split('^');
    const words = datePattern(ctx.state.wardZone, ctx.nowMs(), Number(seconds), unescape(pattern ?? ''));
    return h('time', { datetime: new Date(Number(seconds) * 1000).toISOString(), title: label }, words);
  }
  if (target.startsWith('!'))
    return h('span', { class: 'mention mention-all' }, `@${label || target.slice(1).split('^')[0]}`);
  return link(unescape(target), label || unescape(target));
}

const marks = [
  { tag: 'code', open: '`' },
  { tag: 'strong', open: '*' },
  { tag: 'em', open: '_' },
  { tag: 's', open: '~' },
];
const isWord = (character) => character !== undefined && /[\p{L}\p{N}]/u.test(character);

function findMark(text, at) {
  const mark = marks.find(({ open }) => open === text[at]);
  if (!mark || isWord(text[at - 1])) return null;
  const close = text.indexOf(mark.open, at + 1);
  if (close <= at + 1 || isWord(text[close + 1]) || text[at + 1] === ' ' || text[close - 1] === ' ')
    return null;
  return { ...mark, close };
}

function inline(ctx, text) {
  const nodes = [];
  let from = 0;
  const flush = (to) => {
    if (to > from) nodes.push(plain(unescape(text.slice(from, to))));
  };
  for (let at = 0; at < text.length; at += 1) {
    const end = text[at] === '<' ? text.indexOf('>', at) : -1;
    const mark = findMark(text, at);
    if (end > 0) {
      flush(at);
      nodes.push(bracketed(ctx, text.slice(at + 1, end)));
      at = end;
      from = end + 1;
    } else if (mark) {
      flush(at);
      const inner = text.slice(at + 1, mark.close);
      nodes.push(h(mark.tag, {}, mark.tag === 'code' ? unescape(inner) : inline(ctx, inner)));
      at = mark.close;
      from = mark.close + 1;
    }
  }
  flush(text.length);
  return nodes;
}

function lines(ctx, text) {
  return text.split('\n').flatMap((line, index) => [index > 0 ? h('br') : null, ...inline(ctx, line)]);
}

/** The chat platform's markup as nodes: bold, italic, struck, code, quotes, mentions, dates, links. Never HTML. */
export function mrkdwn(ctx, text) {
  const nodes = [];
  for (const [index, part] of text.split('```').entries()) {
    if (index % 2 === 1) {
      nodes.push(h('pre', {}, unescape(part.replace(/^\n/, ''))));
      continue;
    }
    for (const paragraph of part.split(/\n(?=&gt; ?|> ?)|(?<=^(?:&gt;|>).*)\n(?!&gt;|>)/m)) {
      const quoted = /^(&gt;|>) ?/.test(paragraph);
      if (quoted) nodes.push(h('blockquote', {}, lines(ctx, paragraph.replaceAll(/^(&gt;|>) ?/gm, ''))));
      else if (paragraph.trim() !== '') nodes.push(...lines(ctx, paragraph.replace(/^\n+|\n+$/g, '')));
    }
  }
  return nodes;
}

/** A plain_text or mrkdwn object as nodes. */
export function textNodes(ctx, object) {
  return object.type === 'mrkdwn'
    ? mrkdwn(ctx, object.text)
    : object.text.split('\n').flatMap((line, index) => [index > 0 ? h('br') : null, plain(line)]);
}

/** The words of a message as a lock screen shows them: markup resolved, one line. */
export function lockLine(ctx, text) {
  // The line is cut at its length; what the cut left of a mention or a link at its end says nothing.
  return h('span', {}, mrkdwn(ctx, text.replace(/<[^>]*$/, '…')))
    .textContent.replaceAll(/\s+/g, ' ')
    .replaceAll(/[*_~`]/g, '')
    .trim();
}
