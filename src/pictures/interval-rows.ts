import type { FigureRow } from '../wording/drawn/sheet-words.ts';
import { look, pictureWidthPx } from './look.ts';
import { marginPx, type Part } from './picture.ts';
import { words } from './svg-words.ts';
import { ticks } from './ticks.ts';

/** The scale of rows: from 0 to `most`, in a unit that stands behind each number below. */
export interface Scale {
  most: number;
  unit: string;
  step?: number;
}

const [rowPx, groupGapPx, axisPx] = [104, 26, 60];
const left = marginPx + 12;
const width = pictureWidthPx - 2 * left;

/** Figures below each other on one scale; what lies beyond it ends in an arrow. */
export function figureRows(rows: readonly FigureRow[], { most, unit, step }: Scale): Part {
  const xOf = (value: number) => left + (Math.min(Math.max(value, 0), most) / most) * width;
  const gaps = rows.filter(({ beginsGroup }) => beginsGroup).length * groupGapPx;
  const heightPx = rows.length * rowPx + gaps + axisPx;
  const svgFrom = (top: number) => {
    const bottom = top + heightPx - axisPx;
    const parts = ticks(0, most, 5, step).flatMap((value) => {
      const x = xOf(value);
      const anchor = value === 0 ? 'start' : x > left + width - 40 ? 'end' : 'middle';
      return [
        `<line x1="${x.toFixed(1)}" x2="${x.toFixed(1)}" y1="${top + 8}" y2="${bottom}" stroke="${look.rule}" stroke-width="2"/>`,
        words(`${value}${unit}`, { x, y: bottom + 38, size: 30, anchor, colour: look.soft }),
      ];
    });
    let y = top;
    for (const row of rows) {
      if (row.beginsGroup) {
        parts.push(
          `<line x1="${marginPx}" x2="${pictureWidthPx - marginPx}" y1="${y + groupGapPx / 2}" y2="${y + groupGapPx / 2}" stroke="${look.soft}" stroke-width="2"/>`,
        );
        y += groupGapPx;
      }
      parts.push(
        words(row.label, { x: marginPx, y: y + 42, size: 32, bold: true }),
        words(row.says, { x: pictureWidthPx - marginPx, y: y + 42, size: 30, anchor: 'end' }),
        markOf(row, y + 74, xOf, most),
      );
      y += rowPx;
    }
    return parts.join('\n');
  };
  return { heightPx, svgFrom };
}

function markOf(
  { value, interval, isWeak = false }: FigureRow,
  y: number,
  xOf: (value: number) => number,
  most: number,
): string {
  if (value === null) return '';
  const x = xOf(value).toFixed(1);
  if (interval === null)
    return `<rect x="${left}" y="${y - 12}" width="${(xOf(value) - left).toFixed(1)}" height="24" fill="${look.trace}"/>`;
  const [from, to] = [xOf(interval.lower), xOf(interval.upper)];
  const end = (at: number) =>
    `<line x1="${at.toFixed(1)}" x2="${at.toFixed(1)}" y1="${y - 12}" y2="${y + 12}" stroke="${look.trace}" stroke-width="5"/>`;
  const beyond = interval.upper > most;
  const arrow = `<path d="M${(to - 16).toFixed(1)} ${y - 15}l20 15l-20 15z" fill="${look.trace}"/>`;
  return [
    `<line x1="${from.toFixed(1)}" x2="${to.toFixed(1)}" y1="${y}" y2="${y}" stroke="${look.trace}" stroke-width="5"/>`,
    end(from),
    beyond ? arrow : end(to),
    value > most
      ? ''
      : `<circle cx="${x}" cy="${y}" r="10" fill="${isWeak ? look.paper : look.mark}" stroke="${isWeak ? look.trace : look.paper}" stroke-width="${isWeak ? 5 : 3}"/>`,
  ].join('');
}
