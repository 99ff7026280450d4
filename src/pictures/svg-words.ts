import { look } from './look.ts';

/** Text as it may stand in SVG. */
export function escaped(text: string): string {
  return text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;');
}

/** A line of text at a place, px. */
export function words(
  text: string,
  {
    x,
    y,
    size,
    bold = false,
    anchor = 'start',
    colour = look.ink,
  }: {
    x: number;
    y: number;
    size: number;
    bold?: boolean;
    anchor?: 'start' | 'middle' | 'end';
    colour?: string;
  },
): string {
  return `<text x="${x.toFixed(1)}" y="${y.toFixed(1)}" font-size="${size}" font-weight="${bold ? 700 : 400}" text-anchor="${anchor}" fill="${colour}" stroke="${look.paper}" stroke-width="6" paint-order="stroke">${escaped(text)}</text>`;
}

/** Text broken into lines of at most so many letters. */
export function brokenLines(text: string, most: number): string[] {
  const lines: string[] = [];
  for (const word of text.split(' ')) {
    const last = lines.at(-1);
    if (last !== undefined && last.length + 1 + word.length <= most)
      lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines;
}
