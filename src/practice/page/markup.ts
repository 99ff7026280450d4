import type { TextObject } from '../platform/text-limits.ts';
import { type Child, h } from './dom.ts';
import type { Words } from './drawing.ts';
import { datePattern } from './ward-time.ts';

const unescape = (text: string) =>
  text.replaceAll('&lt;', '<').replaceAll('&gt;', '>').replaceAll('&amp;', '&');

const emoji: Readonly<Record<string, string>> = {
  warning: '⚠️',
  white_check_mark: '✅',
  x: '❌',
  bell: '🔔',
  clock: '🕒',
};

/** Plain text as a text node: nothing in it is markup except short names of a few signs. */
export function plain(text: string): Text {
  return document.createTextNode(
    text.replaceAll(/:([a-z_]+):/g, (whole: string, name: string) => emoji[name] ?? whole),
  );
}

function personName({ state }: Words, id: string): string {
  return state.people.find((person) => person.id === id)?.name ?? state.botName;
}

/** A link to a web or mail address; anything else stays words. */
export function link(address: string, label: string): Node {
  if (!/^(https?|mailto):/.test(address)) return document.createTextNode(label);
  return h('a', { href: address, rel: 'noreferrer noopener', target: '_blank' }, label);
}

function bracketed(words: Words, inner: string): Node {
  const bar = inner.indexOf('|');
  const target = bar < 0 ? inner : inner.slice(0, bar);
  const label = bar < 0 ? '' : unescape(inner.slice(bar + 1));
  if (target.startsWith('@'))
    return h('span', { class: 'mention' }, `@${label || personName(words, target.slice(1))}`);
  if (target.startsWith('#')) {
    const channel = words.state.channels.find(({ id }) => id === target.slice(1));
    return h('span', { class: 'mention' }, `#${label || channel?.name || 'channel'}`);
  }
  if (target.startsWith('!date^')) {
    const [, seconds, pattern] = target.split('^');
    const { state, nowMs } = words;
    const told = datePattern(state.wardZone, nowMs(), Number(seconds), unescape(pattern ?? ''));
    return h('time', { datetime: new Date(Number(seconds) * 1000).toISOString(), title: label }, told);
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
] as const;
const isWord = (character: string | undefined) => character !== undefined && /[\p{L}\p{N}]/u.test(character);

function findMark(text: string, at: number) {
  const mark = marks.find(({ open }) => open === text[at]);
  if (!mark || isWord(text[at - 1])) return null;
  const close = text.indexOf(mark.open, at + 1);
  if (close <= at + 1 || isWord(text[close + 1]) || text[at + 1] === ' ' || text[close - 1] === ' ')
    return null;
  return { ...mark, close };
}

function inline(words: Words, text: string): Node[] {
  const nodes: Node[] = [];
  let from = 0;
  const flush = (to: number) => {
    if (to > from) nodes.push(plain(unescape(text.slice(from, to))));
  };
  for (let at = 0; at < text.length; at += 1) {
    const end = text[at] === '<' ? text.indexOf('>', at) : -1;
    const mark = findMark(text, at);
    if (end > 0) {
      flush(at);
      nodes.push(bracketed(words, text.slice(at + 1, end)));
      at = end;
      from = end + 1;
    } else if (mark) {
      flush(at);
      const inner = text.slice(at + 1, mark.close);
      nodes.push(h(mark.tag, {}, mark.tag === 'code' ? unescape(inner) : inline(words, inner)));
      at = mark.close;
      from = mark.close + 1;
    }
  }
  flush(text.length);
  return nodes;
}

/** Lines of text, each drawn by `draw`, with a break between them. */
export function inLines(text: string, draw: (line: string) => Child): Child[] {
  return text.split('\n').flatMap((line, index) => [index > 0 ? h('br') : null, draw(line)]);
}

/** The chat platform's markup as nodes: bold, italic, struck, code, quotes, mentions, dates, links. Never HTML. */
export function mrkdwn(words: Words, text: string): Child[] {
  const lines = (some: string) => inLines(some, (line) => inline(words, line));
  const nodes: Child[] = [];
  for (const [index, part] of text.split('```').entries()) {
    if (index % 2 === 1) {
      nodes.push(h('pre', {}, unescape(part.replace(/^\n/, ''))));
      continue;
    }
    for (const paragraph of part.split(/\n(?=&gt; ?|> ?)|(?<=^(?:&gt;|>).*)\n(?!&gt;|>)/m)) {
      const quoted = /^(&gt;|>) ?/.test(paragraph);
      if (quoted) nodes.push(h('blockquote', {}, lines(paragraph.replaceAll(/^(&gt;|>) ?/gm, ''))));
      else if (paragraph.trim() !== '') nodes.push(lines(paragraph.replace(/^\n+|\n+$/g, '')));
    }
  }
  return nodes;
}

/** A plain_text or mrkdwn object as nodes. */
export function textNodes(words: Words, object: TextObject): Child[] {
  return object.type === 'mrkdwn' ? mrkdwn(words, object.text) : inLines(object.text, plain);
}

/** The words of a message as a lock screen shows them: markup resolved, one line. */
export function lockLine(words: Words, text: string): string {
  // The line is cut at its length; what the cut left of a mention or a link at its end says nothing.
  return h('span', {}, mrkdwn(words, text.replace(/<[^>]*$/, '…')))
    .textContent.replaceAll(/\s+/g, ' ')
    .replaceAll(/[*_~`]/g, '')
    .trim();
}
