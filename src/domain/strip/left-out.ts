import type { LeftOut } from './find-beats.ts';

/** Stretches that the file did not hold and that are too long to draw through, 0.1 s. */
export function gaps(pressures: Float64Array, samplesPerS: number): LeftOut[] {
  const found: LeftOut[] = [];
  let from = -1;
  for (let i = 0; i <= pressures.length; i += 1) {
    if (i < pressures.length && Number.isNaN(pressures[i])) {
      if (from < 0) from = i;
    } else if (from >= 0) {
      if (i - from > 0.1 * samplesPerS) found.push({ from, to: i });
      from = -1;
    }
  }
  return found;
}

/** No systole stays at the recorder's upper end for longer, s: there the pressure is a flush or a closed tap. */
const longestSystoleS = 0.4;

/** Stretches held at the level where the recorder cuts off above, with the time that a flush needs to die down. */
export function heldAbove(pressures: Float64Array, samplesPerS: number, level: number | null): LeftOut[] {
  if (level === null) return [];
  const found: LeftOut[] = [];
  let from = -1;
  for (let i = 0; i <= pressures.length; i += 1) {
    if (i < pressures.length && pressures[i] === level) {
      if (from < 0) from = i;
    } else if (from >= 0) {
      if (i - from > longestSystoleS * samplesPerS) {
        const to = Math.min(pressures.length, i + Math.round(1.2 * samplesPerS));
        found.push({ from: Math.max(0, from - Math.round(0.15 * samplesPerS)), to });
      }
      from = -1;
    }
  }
  return found;
}

/** The trace without what is left out. */
export function without(pressures: Float64Array, out: readonly LeftOut[]): Float64Array {
  const isOut = new Uint8Array(pressures.length);
  for (const { from, to } of out) isOut.fill(1, Math.max(0, from), Math.max(0, to));
  return pressures.filter((_, i) => isOut[i] === 0);
}

/** What lies between stretches that are left out. */
export function betweenOf(out: readonly LeftOut[], count: number): LeftOut[] {
  const ends = [...out, { from: count, to: count }];
  return ends
    .map(({ from }, i) => ({ from: ends[i - 1]?.to ?? 0, to: from }))
    .filter(({ from, to }) => to > from);
}
