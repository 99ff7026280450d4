const graphemes = new Intl.Segmenter('en', { granularity: 'grapheme' });
/** What must stay whole: a person, a place or a link in rich text. */
const whole = /[\uFDD6-\uFDD8][^\uFDDA]{0,400}\uFDDA/g;

/**
 * `text` in at most `max` UTF-16 units, with an ellipsis where something was cut off. Never cuts inside a letter with
 * its marks, an emoji, or what `kept` finds: by default a mention or a link.
 *
 * Example: `shorten('Fast-flush test: Biscuit Junior', 24)` → `Fast-flush test: Biscui…`.
 */
export function shorten(text: string, max: number, kept: RegExp = whole): string {
  if (text.length <= max) return text;
  if (max < 1) return '';
  // Pieces after the first `max` units cannot fit; looking no further keeps long text cheap.
  let short = '';
  for (const piece of pieces(text.slice(0, max + 500), kept)) {
    if (short.length + piece.length + 1 > max) break;
    short += piece;
  }
  return `${short.trimEnd()}…`;
}

function* pieces(text: string, kept: RegExp): Generator<string> {
  let from = 0;
  for (const match of text.matchAll(kept)) {
    for (const { segment } of graphemes.segment(text.slice(from, match.index))) yield segment;
    yield match[0];
    from = match.index + match[0].length;
  }
  for (const { segment } of graphemes.segment(text.slice(from))) yield segment;
}

/** Longest reason or note that a message repeats. */
const quotedMax = 120;

/** What somebody wrote, in quotes; its beginning where it is long. */
export function quoted(text: string): string {
  return `“${shorten(text, quotedMax)}”`;
}

/**
 * How many UTF-16 units a text takes where it takes most: a platform that has signs of its own writes & < and > as up to
 * five. What must not be cut is measured so.
 */
export function sizeOf(text: string): number {
  return text.length + 4 * (text.match(/[&<>]/g)?.length ?? 0);
}
