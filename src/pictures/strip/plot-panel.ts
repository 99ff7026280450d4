import { look } from '../look.ts';
import { words } from '../svg-words.ts';
import { ticks } from '../ticks.ts';

/** A stretch of a strip to be drawn, in samples, and the pressures between which it is drawn, mmHg. */
export interface PlotOf {
  pressures: Float64Array;
  samplesPerS: number;
  from: number;
  to: number;
  lowMmHg: number;
  highMmHg: number;
  /** Seconds at the first sample, as labelled. */
  startsAtS: number;
}

/** Where a panel stands in the picture, px; the axes lie left of and below it. */
export interface Box {
  x: number;
  y: number;
  width: number;
  height: number;
}

/** A panel: its drawing, and where a sample and a pressure lie in it. */
export interface Panel {
  svg: string;
  xOf: (sample: number) => number;
  yOf: (mmHg: number) => number;
}

/** The trace as a path: highest and lowest of each half pixel, so that no peak is lost where samples lie close. */
function tracePath(
  { pressures, from, to }: PlotOf,
  xOf: (sample: number) => number,
  yOf: (mmHg: number) => number,
  width: number,
): string {
  const perStep = Math.max(1, (to - from) / (2 * width));
  let path = '';
  let pen = 'M';
  for (let start = from; start < to; start += perStep) {
    const [first, end] = [
      Math.floor(start),
      Math.min(to, Math.max(Math.floor(start) + 1, Math.floor(start + perStep))),
    ];
    let [lowAt, highAt] = [-1, -1];
    for (let i = first; i < end; i += 1) {
      const p = pressures[i] ?? Number.NaN;
      if (Number.isNaN(p)) continue;
      if (lowAt < 0 || p < (pressures[lowAt] ?? 0)) lowAt = i;
      if (highAt < 0 || p > (pressures[highAt] ?? 0)) highAt = i;
    }
    if (lowAt < 0) {
      pen = 'M';
      continue;
    }
    for (const at of lowAt === highAt ? [lowAt] : [Math.min(lowAt, highAt), Math.max(lowAt, highAt)]) {
      path += `${pen}${xOf(at).toFixed(1)} ${yOf(pressures[at] ?? 0).toFixed(1)}`;
      pen = 'L';
    }
  }
  return path;
}

/** Draws a stretch with its axes: mmHg to the left, seconds below, a title above. */
export function plotPanel(plot: PlotOf, box: Box, title: string): Panel {
  const { from, to, lowMmHg, highMmHg, samplesPerS, startsAtS } = plot;
  const xOf = (sample: number) => box.x + ((sample - from) / Math.max(1, to - from)) * box.width;
  const yOf = (mmHg: number) => box.y + box.height - ((mmHg - lowMmHg) / (highMmHg - lowMmHg)) * box.height;
  const parts = [words(title, { x: box.x, y: box.y - 22, size: 34, bold: true })];
  for (const mmHg of ticks(lowMmHg, highMmHg, box.height / 60)) {
    const y = yOf(mmHg);
    parts.push(
      `<line x1="${box.x}" x2="${box.x + box.width}" y1="${y.toFixed(1)}" y2="${y.toFixed(1)}" stroke="${look.rule}" stroke-width="2"/>`,
      words(String(mmHg), { x: box.x - 14, y: y + 10, size: 30, anchor: 'end', colour: look.soft }),
    );
  }
  const [startS, endS] = [startsAtS + from / samplesPerS, startsAtS + to / samplesPerS];
  const below = box.y + box.height + 40;
  const seconds = ticks(startS, endS, 6);
  for (const s of seconds) {
    const x = xOf((s - startsAtS) * samplesPerS);
    parts.push(
      `<line x1="${x.toFixed(1)}" x2="${x.toFixed(1)}" y1="${box.y}" y2="${box.y + box.height}" stroke="${look.rule}" stroke-width="2"/>`,
      words(`${s} s`, { x, y: below, size: 30, anchor: 'middle', colour: look.soft }),
    );
  }
  parts.push(
    words('mmHg', { x: box.x + box.width, y: box.y - 22, size: 30, anchor: 'end', colour: look.soft }),
    `<rect x="${box.x}" y="${box.y}" width="${box.width}" height="${box.height}" fill="none" stroke="${look.soft}" stroke-width="2"/>`,
    `<path d="${tracePath(plot, xOf, yOf, box.width)}" fill="none" stroke="${look.trace}" stroke-width="4" stroke-linejoin="round"/>`,
  );
  return { svg: parts.join('\n'), xOf, yOf };
}
