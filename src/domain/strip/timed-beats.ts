import type { FoundBeats } from './find-beats.ts';
import type { RowCheck } from './row-check.ts';
import { quantile, standardDeviation } from './smoothing.ts';

/** The row times beats if it accounts for the trace as well as that, and has a stroke for each (measured on made strips). */
const mostLeft = 0.03;

/**
 * Beats with the times at which the strokes of a row begin. Where a line rings, a swing of the beat before lies under each
 * upstroke and moves it; the row takes that off, so even beats come out even. Unchanged where the row does not account for
 * all, or makes them no more even.
 */
export function timedByRow(found: FoundBeats, row: RowCheck | null, samplesPerS: number): FoundBeats {
  if (row === null || row.leftShare > mostLeft || row.missed + row.madeUp > 0) return found;
  if (row.strokesAt.some(Number.isNaN)) return found;
  const late = quantile(
    found.beats.map(({ halfUpAt }, i) => halfUpAt - (row.strokesAt[i] ?? 0)),
    0.5,
  );
  const beats = found.beats.map((beat, i) => ({ ...beat, halfUpAt: (row.strokesAt[i] ?? 0) + late }));
  const intervalsS = beats.slice(1).flatMap((beat, i) => {
    const before = beats[i];
    const isNext = before !== undefined && beat.footAt <= before.endsAt + 1;
    return isNext ? [(beat.halfUpAt - before.halfUpAt) / samplesPerS] : [];
  });
  // The strip's last stroke makes an interval, and no beat.
  if (found.intervalsS.length > intervalsS.length) intervalsS.push(found.intervalsS.at(-1) ?? 0);
  const isMoreEven = standardDeviation(intervalsS) < standardDeviation(found.intervalsS);
  return isMoreEven ? { ...found, beats, intervalsS } : found;
}
