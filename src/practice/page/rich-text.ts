import type { InlinePart, RichText } from '../platform/rich-text-limits.ts';
import { type Child, h } from './dom.ts';
import type { Words } from './drawing.ts';
import { inLines, link, mrkdwn } from './markup.ts';
import { datePattern } from './ward-time.ts';

function styled(node: Child, style: InlinePart['style'] = {}): Child {
  let result = node;
  if (style.code) result = h('code', {}, result);
  if (style.bold) result = h('strong', {}, result);
  if (style.italic) result = h('em', {}, result);
  if (style.strike) result = h('s', {}, result);
  return result;
}

function inlinePart(words: Words, part: InlinePart): Child {
  switch (part.type) {
    case 'text':
      return inLines(part.text, (line) => styled(line, part.style));
    case 'link':
      return styled(link(part.url, part.text ?? part.url), part.style);
    case 'user':
      return mrkdwn(words, `<@${part.user_id}>`);
    case 'channel':
      return mrkdwn(words, `<#${part.channel_id}>`);
    case 'broadcast':
      return mrkdwn(words, `<!${part.range}>`);
    case 'date':
      return styled(
        datePattern(words.state.wardZone, words.nowMs(), part.timestamp, part.format),
        part.style,
      );
    case 'emoji':
      return part.unicode
        ? String.fromCodePoint(...part.unicode.split('-').map((code) => Number.parseInt(code, 16)))
        : `:${part.name}:`;
    case 'color':
      return part.value;
    case 'usergroup':
      return '';
  }
}

/** A rich_text value as nodes. */
export function richText(words: Words, value: Pick<RichText, 'elements'>): Child {
  const inline = (parts: readonly InlinePart[]) => parts.map((part) => inlinePart(words, part));
  return value.elements.map((part) => {
    switch (part.type) {
      case 'rich_text_list':
        return h(
          part.style === 'ordered' ? 'ol' : 'ul',
          { class: part.indent ? `indent indent-${part.indent}` : null },
          part.elements.map((item) => h('li', {}, inline(item.elements))),
        );
      case 'rich_text_quote':
        return h('blockquote', {}, inline(part.elements));
      case 'rich_text_preformatted':
        return h('pre', {}, inline(part.elements));
      case 'rich_text_section':
        return h('p', {}, inline(part.elements));
    }
  });
}

/** Bold, italic and links of standard markdown as the chat platform writes them. */
const toMrkdwn = (line: string) =>
  line
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll(/\*\*(.+?)\*\*/g, '\u0001$1\u0001')
    .replaceAll(/(^|\s)\*(\S.*?)\*/g, '$1_$2_')
    .replaceAll('\u0001', '*')
    .replaceAll(/\[([^\]]+)\]\((https?:[^)\s]+)\)/g, '<$2|$1>');

/** Standard markdown, the part of it a bot's report uses: headings, lists, bold, italic, code, paragraphs. */
export function markdown(words: Words, text: string): Child {
  const drawn = (line: string) => mrkdwn(words, toMrkdwn(line));
  return text.split(/\n{2,}/).map((paragraph) => {
    const rows = paragraph.split('\n');
    const isItem = /^\s*[-*] /;
    if (rows.every((row) => isItem.test(row)))
      return h(
        'ul',
        {},
        rows.map((row) => h('li', {}, drawn(row.replace(isItem, '')))),
      );
    const heading = /^#{1,6} (.+)$/.exec(rows[0] ?? '')?.[1];
    if (heading === undefined) return h('p', {}, drawn(paragraph));
    return [
      h('h4', {}, drawn(heading)),
      rows.length > 1 ? h('p', {}, drawn(rows.slice(1).join('\n'))) : null,
    ];
  });
}
