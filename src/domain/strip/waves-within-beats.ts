import { type ExtraWaves, weighedExtra } from './extra-waves.ts';
import type { Beat } from './find-beats.ts';
import { boxSmoothed, quantile } from './smoothing.ts';

/** Waves within beats, from the highest pressure on: the largest rise before the next foot, whatever set of beats was weighed. */
export function hidesBeats(pressures: Float64Array, beats: readonly Beat[], samplesPerS: number): boolean {
  const longerS = quantile(
    beats.map(({ footAt, endsAt }) => (endsAt - footAt) / samplesPerS),
    0.5,
  );
  const smooth = boxSmoothed(pressures, Math.min(0.04, 0.1 * longerS) * samplesPerS);
  const usual = quantile(
    beats.map(({ sapMmHg, dapMmHg }) => sapMmHg - dapMmHg),
    0.5,
  );
  const found: { ratio: number; delayS: number; trough: number }[] = [];
  for (const { peakAt, endsAt, dapMmHg } of beats) {
    let [lowAt, rise, delayS, trough] = [peakAt, 0, 0, 0];
    // The next upstroke begins a little before the foot that its tangent gives.
    for (let i = peakAt; i < endsAt - 0.06 * longerS * samplesPerS; i += 1) {
      const [p, low] = [smooth[i] ?? 0, smooth[lowAt] ?? 0];
      if (p < low) lowAt = i;
      else if (p - low > rise)
        [rise, delayS, trough] = [p - low, (i - peakAt) / samplesPerS, (low - dapMmHg) / usual];
    }
    if (rise > 0.3 * usual) found.push({ ratio: rise / usual, delayS, trough });
  }
  const middle = (of: 'ratio' | 'delayS' | 'trough') =>
    quantile(
      found.map((one) => one[of]),
      0.5,
    );
  const perBeat = found.length / beats.length;
  // Before a pause the wave runs off for longer, and shows more than in other beats.
  if (found.length < 2 || perBeat < 0.35) return false;
  const waves: ExtraWaves = {
    perBeat,
    ratio: middle('ratio'),
    leastRatio: middle('ratio'),
    delayS: middle('delayS'),
    trough: middle('trough'),
    longerS,
    shorterPerMin: (60 * (1 + perBeat)) / longerS,
    gain: () => 0,
  };
  // A line that rings swings within each beat, and a slow pulse has a dicrotic wave.
  const isSwing = waves.delayS < 0.23 && waves.trough < 0.33;
  if (longerS > 0.6 || isSwing) return false;
  return weighedExtra(waves) !== 'no beats';
}

/** Beats so many usual ones long are pauses; a wave of this share of the pulse, in this part of a usual beat, is looked for in them. */
export const inPause = {
  from: 1.5,
  to: 2.6,
  wave: 0.15,
  after: 0.45,
  before: 0.95,
  least: 4,
  slowS: 1,
} as const;

/**
 * By how much a pause is unlike the other beats where an early beat would be, by the pulse: a weak one makes a wave and no beat
 * of its own.
 */
export function waveInPause(pressures: Float64Array, beats: readonly Beat[], samplesPerS: number): number {
  const usual = quantile(
    beats.map(({ footAt, endsAt }) => endsAt - footAt),
    0.5,
  );
  const length = Math.round(inPause.before * usual);
  const smooth = boxSmoothed(pressures, Math.min(0.04, 0.08 * (usual / samplesPerS)) * samplesPerS);
  const courseOf = ({ footAt, dapMmHg, sapMmHg }: Beat) =>
    smooth.subarray(footAt, footAt + length).map((p) => (p - dapMmHg) / Math.max(1, sapMmHg - dapMmHg));
  const long = ({ footAt, endsAt }: Beat) => endsAt - footAt > inPause.from * usual;
  const pauses = beats.filter((beat) => long(beat) && beat.endsAt - beat.footAt < inPause.to * usual);
  const others = beats.filter((beat) => !long(beat) && beat.endsAt - beat.footAt >= length);
  if (pauses.length === 0 || others.length < inPause.least) return 0;
  const usualCourse = new Float64Array(length);
  for (const other of others)
    for (const [i, p] of courseOf(other).entries())
      usualCourse[i] = (usualCourse[i] ?? 0) + p / others.length;
  const waves = pauses.map((beat) => {
    const course = courseOf(beat);
    let [low, most] = [Number.POSITIVE_INFINITY, 0];
    for (let i = Math.round(inPause.after * usual); i < course.length; i += 1) {
      const over = (course[i] ?? 0) - (usualCourse[i] ?? 0);
      low = Math.min(low, over);
      most = Math.max(most, over - low);
    }
    // Later than that nothing of a slow beat moves any more.
    return usual < inPause.slowS * samplesPerS ? most : Math.max(most, laterRise(smooth, beat, length));
  });
  return quantile(waves, 0.5);
}

/** A stroke and the wave after its notch are over after so long, in a heart whose beats are at least so long, s (ejection takes 0.3 s at most). */
const late = { fromS: 0.65, beatS: 0.6 } as const;

/** The tallest late rise of any beat beside the usual one, by the usual pulse; 0 of a heart too fast to tell. */
export function tallestLateRise(
  pressures: Float64Array,
  beats: readonly Beat[],
  samplesPerS: number,
): number {
  const usualS =
    quantile(
      beats.map(({ footAt, endsAt }) => endsAt - footAt),
      0.5,
    ) / samplesPerS;
  if (usualS < late.beatS) return 0;
  const usualPulse = quantile(
    beats.map(({ sapMmHg, dapMmHg }) => sapMmHg - dapMmHg),
    0.5,
  );
  const smooth = boxSmoothed(pressures, 0.04 * samplesPerS);
  const rises = beats.map(
    (beat) =>
      (laterRise(smooth, beat, Math.round(late.fromS * samplesPerS)) * (beat.sapMmHg - beat.dapMmHg)) /
      Math.max(1, usualPulse),
  );
  return Math.max(...rises) - quantile(rises, 0.5);
}

/** The largest rise within a beat from so many samples on, up to where the next upstroke begins, as a share of its pulse. */
function laterRise(smooth: Float64Array, { footAt, endsAt, sapMmHg, dapMmHg }: Beat, from: number): number {
  let [low, most] = [Number.POSITIVE_INFINITY, 0];
  for (let i = footAt + from; i < endsAt - 0.1 * from; i += 1) {
    const p = smooth[i] ?? 0;
    low = Math.min(low, p);
    most = Math.max(most, p - low);
  }
  return most / Math.max(1, sapMmHg - dapMmHg);
}
