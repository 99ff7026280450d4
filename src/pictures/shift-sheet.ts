import type { CareOfShift } from '../domain/handover/late-care.ts';
import type { HandedLine, ShiftHandover } from '../domain/handover/shift-handover.ts';
import { wallClock } from '../domain/shifts/wall-clock.ts';
import { hourMs } from '../domain/time.ts';
import { legendWords, markOf, nowLabel, type Shape, shiftWords } from '../wording/drawn/shift-words.ts';
import { look, pictureWidthPx } from './look.ts';
import { marginPx, type Part, type Sheet } from './picture.ts';
import { words } from './svg-words.ts';

/** How far ahead of the handover the picture shows what is to come, ms: the incoming nurse's first hours. */
const aheadMs = 4 * hourMs;
/** Name, then the track; a phone shows a third of these px. */
const trackLeft = 262;
const trackRight = pictureWidthPx - marginPx;
const rowPx = 66;
const axisPx = 54;
const mostLetters = 14;

/** The shift that is handed over, a row for each line: what was done, late, left and found, now, and what comes. */
export function shiftSheet(handover: ShiftHandover): Sheet {
  const to = Math.min(handover.coming.toMs, handover.atMs + aheadMs);
  return {
    ...shiftWords(handover, to),
    parts: [legend(), tracks(handover, { from: handover.worked.fromMs, to })],
  };
}

/** Each thing has a shape of its own: colour alone tells nothing. */
function shape(kind: Shape, x: number, y: number): string {
  const at = (dx: number, dy: number) => `${(x + dx).toFixed(1)} ${(y + dy).toFixed(1)}`;
  switch (kind) {
    case 'done':
      return `<circle cx="${x.toFixed(1)}" cy="${y}" r="8.5" fill="${look.trace}"/>`;
    case 'coming':
      return `<circle cx="${x.toFixed(1)}" cy="${y}" r="7.5" fill="${look.paper}" stroke="${look.soft}" stroke-width="3"/>`;
    case 'late':
      return `<path d="M${at(0, -13)}L${at(12, 10)}L${at(-12, 10)}Z" fill="${look.mark}"/>`;
    case 'left':
      return `<path d="M${at(-10, -10)}L${at(10, 10)}M${at(-10, 10)}L${at(10, -10)}" stroke="${look.mark}" stroke-width="6"/>`;
    case 'found':
      return `<path d="M${at(0, -15)}L${at(13, 0)}L${at(0, 15)}L${at(-13, 0)}Z" fill="${look.mark}" stroke="${look.paper}" stroke-width="2"/>`;
    case 'fault':
      return `<rect x="${(x - 10).toFixed(1)}" y="${y - 10}" width="20" height="20" fill="${look.paper}" stroke="${look.ink}" stroke-width="5"/>`;
  }
}

function legend(): Part {
  const columns = 3;
  const width = (pictureWidthPx - 2 * marginPx) / columns;
  return {
    heightPx: Math.ceil(legendWords.length / columns) * 46 + 10,
    svgFrom: (top) =>
      legendWords
        .map(([kind, says], index) => {
          const x = marginPx + (index % columns) * width;
          const y = top + 24 + Math.floor(index / columns) * 46;
          return shape(kind, x + 14, y) + words(says, { x: x + 38, y: y + 10, size: 28 });
        })
        .join('\n'),
  };
}

function tracks(handover: ShiftHandover, { from, to }: { from: number; to: number }): Part {
  const { watch, stable, visits, atMs, ward } = handover;
  const { zone } = ward.policy.shifts;
  const rows = [...watch, ...stable];
  const xOf = (at: number) =>
    trackLeft + ((Math.min(Math.max(at, from), to) - from) / (to - from)) * (trackRight - trackLeft);
  const heightPx = axisPx + rows.length * rowPx + 16;
  const svgFrom = (top: number) => {
    const bottom = top + axisPx + rows.length * rowPx;
    const drawn = hours(from, to).flatMap((at) => [
      `<line x1="${xOf(at).toFixed(1)}" x2="${xOf(at).toFixed(1)}" y1="${top + 40}" y2="${bottom}" stroke="${look.rule}" stroke-width="2"/>`,
      words(wallClock(zone, at).slice(0, 5), {
        x: xOf(at),
        y: top + 28,
        size: 26,
        anchor: 'middle',
        colour: look.soft,
      }),
    ]);
    rows.forEach((row, index) => {
      const y = top + axisPx + index * rowPx;
      drawn.push(rowSvg(row, y, { xOf, from, atMs, isFirstStable: index === watch.length && index > 0 }));
      for (const { at, duties } of visits)
        for (const { lineId, kind } of duties)
          if (lineId === row.line.id && at <= to && at >= atMs && kind !== 'dwellWarning')
            drawn.push(shape('coming', xOf(at), y + (kind === 'flush' ? 20 : 46)));
    });
    const x = xOf(atMs);
    drawn.push(
      `<line x1="${x.toFixed(1)}" x2="${x.toFixed(1)}" y1="${top + 36}" y2="${bottom}" stroke="${look.ink}" stroke-width="5"/>`,
      words(nowLabel, { x, y: bottom + 30, size: 26, bold: true, anchor: 'middle' }),
    );
    return drawn.join('\n');
  };
  return { heightPx: heightPx + 30, svgFrom };
}

/** Whole hours to write on the axis: every second or third one, so that the clock times stand apart. */
function hours(from: number, to: number): number[] {
  const step = to - from > 10 * hourMs ? 3 * hourMs : hourMs;
  const all: number[] = [];
  for (let at = Math.ceil(from / hourMs) * hourMs; at <= to; at += step) all.push(at);
  return all;
}

function rowSvg(
  { line, care, troubles }: HandedLine,
  y: number,
  {
    xOf,
    from,
    atMs,
    isFirstStable,
  }: { xOf: (at: number) => number; from: number; atMs: number; isFirstStable: boolean },
): string {
  const { name } = line.patient;
  const short = name.length > mostLetters ? `${name.slice(0, mostLetters - 1)}…` : name;
  const inFrom = xOf(line.placed.at);
  const inTo = line.removed ? xOf(line.removed.at) : trackRight;
  const bar = (start: number, end: number, at: number, colour: string) =>
    `<line x1="${xOf(start).toFixed(1)}" x2="${Math.max(xOf(end), xOf(start) + 1).toFixed(1)}" y1="${at}" y2="${at}" stroke="${colour}" stroke-width="6"/>`;
  return [
    `<line x1="${marginPx}" x2="${trackRight}" y1="${y}" y2="${y}" stroke="${isFirstStable ? look.ink : look.rule}" stroke-width="${isFirstStable ? 4 : 2}"/>`,
    `<rect x="${inFrom.toFixed(1)}" y="${y + 4}" width="${Math.max(0, inTo - inFrom).toFixed(1)}" height="${rowPx - 8}" fill="${look.rule}" fill-opacity="0.28"/>`,
    words(short, { x: marginPx, y: y + 42, size: 30, bold: true }),
    ...care.flatMap((one) => careSvg(one, y + (one.kind === 'flush' ? 20 : 46), { bar, xOf, from, atMs })),
    ...troubles.flatMap((one) => {
      const mark = markOf(one);
      if (!mark) return [];
      const at = y + 33;
      return [
        bar(mark.from, mark.until ?? atMs, at, mark.is === 'fault' ? look.ink : look.mark),
        shape(mark.is, xOf(mark.from), at),
      ];
    }),
  ].join('\n');
}

function careSvg(
  { ended, dueAt, lateByMs, isOpen }: CareOfShift,
  y: number,
  {
    bar,
    xOf,
    from,
    atMs,
  }: {
    bar: (start: number, end: number, at: number, colour: string) => string;
    xOf: (at: number) => number;
    from: number;
    atMs: number;
  },
): string[] {
  if (ended === 'let go') return [];
  if (ended === 'not done')
    return [bar(dueAt, isOpen ? atMs : dueAt, y, look.mark), shape('left', xOf(Math.max(dueAt, from)), y)];
  const doneAt = dueAt + (lateByMs ?? 0);
  if (ended === 'late') return [bar(dueAt, doneAt, y, look.mark), shape('late', xOf(doneAt), y)];
  return [shape('done', xOf(doneAt), y)];
}
