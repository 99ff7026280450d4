import { pictureCaution } from '../wording/drawn/audit-labels.ts';
import type { SheetWords } from '../wording/drawn/sheet-words.ts';
import { look, pictureWidthPx } from './look.ts';
import { brokenLines, words } from './svg-words.ts';

/** A drawing as PNG. */
export interface Png {
  pngBytes: Uint8Array;
  widthPx: number;
  heightPx: number;
}

/** Draws SVG, wherever that is done; throws where it cannot be drawn. */
export type Draw = (svg: string) => Promise<Png>;

/** A picture and the words for who cannot see it. */
export interface Picture extends Png {
  fileName: string;
  title: string;
  /** What it shows with its figures, at most 1,000 characters; stands without the picture. */
  altText: string;
}

/** A part of a picture, as wide as it: its height, px, and its drawing from a height on. */
export interface Part {
  heightPx: number;
  svgFrom: (top: number) => string;
}

/** A picture before it is drawn: what stands in it, from top to bottom. */
export interface Sheet extends SheetWords {
  parts: Part[];
}

/** Left and right of everything, px. */
export const marginPx = 40;

/** Text below each other, broken where it is too long for the width. */
function lines(
  texts: readonly string[],
  top: number,
  size: number,
  colour: string,
): { svg: string[]; bottom: number } {
  // A letter of this face is 0.42 times as wide as its size, on average; some room is left for wide ones.
  const most = Math.floor((pictureWidthPx - 2 * marginPx) / (0.45 * size));
  // A number is not parted from its unit.
  const broken = texts.flatMap((text) => brokenLines(text.replaceAll(/(\d) (%|h\b)/g, '$1\u00a0$2'), most));
  return {
    svg: broken.map((text, i) => words(text, { x: marginPx, y: top + size + i * size * 1.3, size, colour })),
    bottom: top + broken.length * size * 1.3,
  };
}

/** A sheet as SVG, 1080 px wide. */
export function sheetSvg({ title, lead, parts, foot }: Sheet): { svg: string; heightPx: number } {
  const titled = brokenLines(title, 38);
  const drawing = titled.map((line, i) => words(line, { x: marginPx, y: 80 + i * 58, size: 50, bold: true }));
  const led = lines(lead, 80 + (titled.length - 1) * 58 + 18, 32, look.ink);
  drawing.push(...led.svg);
  let y = led.bottom + 24;
  for (const part of parts) {
    drawing.push(part.svgFrom(y));
    y += part.heightPx;
  }
  const footed = lines([...foot, pictureCaution], y + 8, 30, look.soft);
  drawing.push(...footed.svg);
  const heightPx = Math.ceil(footed.bottom + 30);
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${pictureWidthPx}" height="${heightPx}" viewBox="0 0 ${pictureWidthPx} ${heightPx}" font-family="${look.family}"><rect width="100%" height="100%" fill="${look.paper}"/>\n${drawing.join('\n')}\n</svg>`;
  return { svg, heightPx };
}
