import { h } from './dom.js';
import { link, mrkdwn } from './markup.js';
import { datePattern } from './ward-time.js';

function styled(node, style = {}) {
  let result = node;
  if (style.code) result = h('code', {}, result);
  if (style.bold) result = h('strong', {}, result);
  if (style.italic) result = h('em', {}, result);
  if (style.strike) result = h('s', {}, result);
  return result;
}

function inlinePart(ctx, part) {
  switch (part.type) {
    case 'text':
      return part.text
        .split('\n')
        .flatMap((line, index) => [index > 0 ? h('br') : null, styled(line, part.style)]);
    case 'link':
      return styled(link(part.url, part.text ?? part.url), part.style);
    case 'user':
      return mrkdwn(ctx, `<@${part.user_id}>`);
    case 'channel':
      return mrkdwn(ctx, `<#${part.channel_id}>`);
    case 'broadcast':
      return mrkdwn(ctx, `<!${part.range}>`);
    case 'date':
      return styled(datePattern(ctx.state.wardZone, ctx.nowMs(), part.timestamp, part.format), part.style);
    case 'emoji':
      return part.unicode
        ? String.fromCodePoint(...part.unicode.split('-').map((code) => Number.parseInt(code, 16)))
        : `:${part.name}:`;
    default:
      return part.value ?? '';
  }
}

const inlineParts = (ctx, parts) => parts.flatMap((part) => inlinePart(ctx, part));

/** A rich_text value as nodes. */
export function richText(ctx, value) {
  return value.elements.map((part) => {
    switch (part.type) {
      case 'rich_text_list':
        return h(
          part.style === 'ordered' ? 'ol' : 'ul',
          { class: part.indent ? `indent indent-${part.indent}` : null },
          part.elements.map((item) => h('li', {}, inlineParts(ctx, item.elements))),
        );
      case 'rich_text_quote':
        return h('blockquote', {}, inlineParts(ctx, part.elements));
      case 'rich_text_preformatted':
        return h('pre', {}, inlineParts(ctx, part.elements));
      default:
        return h('p', {}, inlineParts(ctx, part.elements));
    }
  });
}

/** Standard markdown, the part of it a bot's report uses: headings, lists, bold, italic, code, paragraphs. */
export function markdown(ctx, text) {
  const toMrkdwn = (line) =>
    line
      .replaceAll('&', '&amp;')
      .replaceAll('<', '&lt;')
      .replaceAll('>', '&gt;')
      .replaceAll(/\*\*(.+?)\*\*/g, '\u0001$1\u0001')
      .replaceAll(/(^|\s)\*(\S.*?)\*/g, '$1_$2_')
      .replaceAll('\u0001', '*')
      .replaceAll(/\[([^\]]+)\]\((https?:[^)\s]+)\)/g, '<$2|$1>');
  return text.split(/\n{2,}/).map((paragraph) => {
    const rows = paragraph.split('\n');
    if (rows.every((row) => /^\s*[-*] /.test(row)))
      return h(
        'ul',
        {},
        rows.map((row) => h('li', {}, mrkdwn(ctx, toMrkdwn(row.replace(/^\s*[-*] /, ''))))),
      );
    const heading = /^#{1,6} (.+)$/.exec(rows[0]);
    if (heading)
      return [
        h('h4', {}, mrkdwn(ctx, toMrkdwn(heading[1]))),
        rows.length > 1 ? h('p', {}, mrkdwn(ctx, toMrkdwn(rows.slice(1).join('\n')))) : null,
      ];
    return h('p', {}, mrkdwn(ctx, toMrkdwn(paragraph)));
  });
}
