import { type ParsedStrip, refused } from './pressure-strip.ts';

/** A sampling rate told in a comment of the head, Hz: `# fs=250 Hz`, `# sampling rate: 250`; null where none is. */
export function rateOfHead(head: readonly string[]): number | null {
  for (const line of head) {
    const told =
      /(?:\bfs|\bsampl(?:e|ing)[ _-]*(?:rate|frequency|freq))[\s_]*(?:[([]?hz[)\]]?)?\s*[=:;,\t ]\s*"?(\d+(?:\.\d+)?)\s*(k?)/i.exec(
        line,
      );
    if (told) return Number(told[1]) * (told[2] ? 1_000 : 1);
  }
  return null;
}

/** What stands in the columns that matter, in the order of the lines. */
export interface Values {
  pressures: number[];
  times: number[];
}

/**
 * Evenly spaced pressures from told times, s. Missing times leave gaps (NaN) of at most 2 s each; a rate is made out from
 * the usual step. Gives a refusal where the times do not ascend or are too uneven.
 */
export function evenly(
  { pressures, times }: Values,
  bodyFrom: number,
): { samplesPerS: number; pressuresMmHg: Float64Array } | { refusal: ParsedStrip } {
  const steps: number[] = [];
  for (let i = 1; i < times.length; i += 1) steps.push((times[i] ?? 0) - (times[i - 1] ?? 0));
  const backAt = steps.findIndex((step) => !(step >= 0));
  if (backAt >= 0) {
    return {
      refusal: refused(
        'bad value',
        `The time in line ${bodyFrom + backAt + 1} goes back. Times must ascend: export one stretch without breaks.`,
      ),
    };
  }
  if (steps.filter((step) => step === 0).length > steps.length * 0.02) {
    return {
      refusal: refused(
        'no sampling rate',
        'The times are too coarse: several lines have the same time. Write the sampling rate in the first line instead, such as # fs=250 Hz.',
      ),
    };
  }
  const median = steps.toSorted((a, b) => a - b)[Math.floor(steps.length / 2)] ?? 0;
  const usual = steps.filter((step) => step > 0.4 * median && step < 1.6 * median);
  const step = usual.reduce((sum, one) => sum + one, 0) / usual.length;
  const samplesPerS = Number((1 / step).toPrecision(6));
  if (usual.length < steps.length * 0.95) {
    return {
      refusal: refused(
        'no sampling rate',
        'The times are too uneven to tell a sampling rate. Write it in the first line instead, such as # fs=250 Hz.',
      ),
    };
  }
  // Counted step by step, so that rounded times cannot drift against the grid.
  const places: number[] = [0];
  for (const one of steps) {
    const by = one < 1.6 * median ? 1 : Math.round(one / step);
    if (by * step > 2) {
      return {
        refusal: refused(
          'too much missing',
          `The times have a gap of ${one.toFixed(1)} s; at most 2 s may be missing at once. Export one stretch without breaks.`,
        ),
      };
    }
    places.push((places.at(-1) ?? 0) + by);
  }
  const pressuresMmHg = new Float64Array((places.at(-1) ?? 0) + 1).fill(Number.NaN);
  for (const [i, place] of places.entries()) pressuresMmHg[place] = pressures[i] ?? Number.NaN;
  return { samplesPerS, pressuresMmHg };
}
