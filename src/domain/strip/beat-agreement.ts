import { selfLikeness } from './beat-hypotheses.ts';
import { correlation } from './correlation.ts';
import { type ExtraWaves, weighedExtra } from './extra-waves.ts';
import type { Beat, FoundBeats, LeftOut } from './find-beats.ts';
import { hidesSecond } from './second-strokes.ts';
import { boxSmoothed, mean, quantile, standardDeviation, thinned } from './smoothing.ts';
import { slopeSkewness } from './trace-shape.ts';
import { runsOf, turnsOfIntervals, turnsOfPulses } from './turns-taken.ts';

/** How far the beats bear each other out. */
export interface BeatAgreement {
  /** Median correlation of a beat with the mean of all, laid over each other at their upstrokes, over most of a short beat. */
  alike: number;
  /** Share of beats whose correlation is above 0.8. */
  alikeShare: number;
  /** Standard deviation of the intervals as a share of their mean. */
  intervalVariation: number;
  /** Standard deviation of the pulse pressures as a share of their mean. */
  pulseVariation: number;
  /** How alike the trace is to itself one, or two, beats later: 1 is the same. */
  repeats: number;
  /** Above 0 where it rises quicker than it falls, as a pulse does; 0 for a sine or noise. */
  skewness: number;
  /** Share of the beats' variance that lies in the second and third harmonic of a beat; 0 for a sine. */
  overtones: number;
  /** How far above the foot before, by its pulse, beats begin that follow soon enough to be swings; null where they are few. */
  soonTrough: number | null;
  /** Whether waves within the beats could be beats that were not counted. */
  hidesBeats: boolean;
  /** The short ones of intervals that take turns; null where they do not. */
  turns: { shortS: number } | null;
  /** Small beats by the tall ones, where they take turns; 1 where they do not. */
  smallToTall: number;
  /** Whether the pauses hold a wave where a beat could have come early; other beats have none there. */
  pausesHideBeats: boolean;
  /** How tall it is, by the pulse. */
  waveInPause: number;
  /** Share of the beats that are such pauses. */
  pauseShare: number;
  /** The tallest rise of any beat later than a stroke and its notch last, beside the usual one, by the pulse: a beat that was not counted. */
  lateRise: number;
  /** Whether the beats look as if each hid a second stroke. */
  hidesSecond: boolean;
  /** Whether the beats climb for as long as they fall, as no single stroke does at such a rate. */
  climbsLong: boolean;
  /** By how much means and medians of systolic or diastolic differ: beats of another kind are among them, mmHg. */
  lopsidedMmHg: number;
}

/** Waves within beats, from the highest pressure on: the largest rise before the next foot, whatever set of beats was weighed. */
function hidesBeats(pressures: Float64Array, beats: readonly Beat[], samplesPerS: number): boolean {
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
const inPause = { from: 1.5, to: 2.6, wave: 0.15, after: 0.45, before: 0.95, least: 4, slowS: 1 } as const;

/**
 * By how much a pause is unlike the other beats where an early beat would be, and how many of the beats are pauses: a weak one
 * makes a wave and no beat of its own.
 */
function waveInPause(
  pressures: Float64Array,
  beats: readonly Beat[],
  samplesPerS: number,
): { wave: number; share: number } {
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
  if (pauses.length === 0 || others.length < inPause.least) return { wave: 0, share: 0 };
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
  return { wave: quantile(waves, 0.5), share: pauses.length / beats.length };
}

/** A stroke and the wave after its notch are over after so long, in a heart whose beats are at least so long, s (ejection takes 0.3 s at most). */
const late = { fromS: 0.65, beatS: 0.6 } as const;

/** The tallest late rise of any beat beside the usual one, by the usual pulse; 0 of a heart too fast to tell. */
function tallestLateRise(pressures: Float64Array, beats: readonly Beat[], samplesPerS: number): number {
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

/**
 * Two strokes of a fast heart that a slow line melts into one climb for about half of the beat, no quicker than they fall, and
 * hardly show an overtone: made ones had 0.025 or less. Steady beats this long peak by 0.46 of a beat, rise the quicker
 * (skewness 0.2 and more), or have the overtones of a large wave after the notch (0.037 and more).
 */
const melts = { shortestS: 0.33, longestS: 0.6, peaksBy: 0.46, skewness: 0.1, overtones: 0.03 } as const;

/** Whether beats climb so long that they could be two strokes each, melted. */
function climbsLong(
  beats: readonly Beat[],
  samplesPerS: number,
  { skewness, overtones }: { skewness: number; overtones: number },
): boolean {
  const middle = (of: (beat: Beat) => number) => quantile(beats.map(of), 0.5);
  const usualS = middle(({ footAt, endsAt }) => endsAt - footAt) / samplesPerS;
  if (usualS < melts.shortestS || usualS > melts.longestS) return false;
  if (skewness > melts.skewness || overtones > melts.overtones) return false;
  return middle(({ footAt, peakAt, endsAt }) => (peakAt - footAt) / (endsAt - footAt)) > melts.peaksBy;
}

/** Mean and median are further apart where a few beats are unlike the others. */
function lopsided(values: readonly number[]): number {
  return Math.abs(mean(values) - quantile(values, 0.5));
}

/** Swings of a line come so soon, s, and clearly sooner than the beats; after most beats, not now and then. */
const soon = { latestS: 0.23, ofMean: 0.87, leastShare: 0.2 } as const;

function soonTroughOf(beats: readonly Beat[], samplesPerS: number, meanS: number): number | null {
  const troughs = beats.slice(1).flatMap((beat, i) => {
    const before = beats[i];
    if (!before || Math.abs(beat.footAt - before.endsAt) > 1) return [];
    const apartS = (beat.halfUpAt - before.halfUpAt) / samplesPerS;
    if (apartS > Math.min(soon.latestS, soon.ofMean * meanS)) return [];
    return [(beat.dapMmHg - before.dapMmHg) / Math.max(1, before.sapMmHg - before.dapMmHg)];
  });
  return troughs.length < soon.leastShare * beats.length ? null : quantile(troughs, 0.5);
}

/** Beats within this share of the usual length are laid over each other for their harmonics. */
const asLong = 0.1;

/** Share of the second and third harmonic in the mean of the usual beats: over many, noise and breathing have no say. */
function overtonesOf(pressures: Float64Array, beats: readonly Beat[]): number {
  // One that is there: of two kinds of beats the median lies between them.
  const lengths = beats.map(({ footAt, endsAt }) => endsAt - footAt).toSorted((a, b) => a - b);
  const usual = lengths[Math.floor(lengths.length / 2)] ?? 1;
  const sums = [1, 2, 3].map(() => ({ re: 0, im: 0 }));
  for (const { footAt, endsAt } of beats) {
    const length = endsAt - footAt;
    if (Math.abs(length / usual - 1) > asLong) continue;
    const [first, last] = [pressures[footAt] ?? 0, pressures[endsAt] ?? pressures[endsAt - 1] ?? 0];
    for (let i = 0; i < length; i += 1) {
      const p = (pressures[footAt + i] ?? 0) - ((last - first) * i) / length;
      const angle = (2 * Math.PI * i) / length;
      for (const [n, sum] of sums.entries()) {
        sum.re += (p * Math.cos((n + 1) * angle)) / length;
        sum.im += (p * Math.sin((n + 1) * angle)) / length;
      }
    }
  }
  const [one = 0, two = 0, three = 0] = sums.map(({ re, im }) => re * re + im * im);
  return (two + three) / Math.max(1e-9, one + two + three);
}

/** Every second beat, and those between them, counted anew after each gap; all as one kind where they do not take turns. */
function kindsOf(beats: readonly Beat[], takeTurns: boolean): number[] {
  let kind = 0;
  return beats.map((beat, i) => {
    const before = beats[i - 1];
    const isNext = before !== undefined && Math.abs(beat.footAt - before.endsAt) <= 1;
    // After a gap the taller kind is the one that is as tall.
    if (takeTurns) kind = isNext ? 1 - kind : kindAfterGap(beats, i);
    return kind;
  });
}

/** The first beat after a gap: 0 if it is taller than the one after it. */
function kindAfterGap(beats: readonly Beat[], i: number): number {
  const [own, next] = [beats[i], beats[i + 1]];
  if (!own || !next) return 0;
  return own.sapMmHg - own.dapMmHg >= next.sapMmHg - next.dapMmHg ? 0 : 1;
}

/** How alike each course is to the mean of its kind. */
function likenessOf(parts: readonly Float64Array[], kinds: readonly number[], length: number): number[] {
  const templates = [0, 1].map(() => new Float64Array(length));
  for (const [n, part] of parts.entries()) {
    const template = templates[kinds[n] ?? 0];
    if (template) for (let i = 0; i < length; i += 1) template[i] = (template[i] ?? 0) + (part[i] ?? 0);
  }
  return parts.map((part, n) => correlation(part, templates[kinds[n] ?? 0] ?? part));
}

/** How far the beats agree; null of fewer than three. */
export function beatAgreement(
  pressures: Float64Array,
  samplesPerS: number,
  { beats, intervalsS }: FoundBeats,
  read: readonly LeftOut[],
): BeatAgreement | null {
  if (beats.length < 3 || intervalsS.length < 2) return null;
  const pulses = beats.map(({ sapMmHg, dapMmHg }) => sapMmHg - dapMmHg);
  const lengths = beats.map(({ footAt, endsAt }) => endsAt - footAt);
  const length = Math.max(4, Math.round(0.85 * quantile(lengths, 0.15)));
  const before = Math.round(0.15 * length);
  const runs = runsOf(beats, 4);
  const [pulseTurns, lengthTurns] = [turnsOfPulses(runs), turnsOfIntervals(runs)];
  const takeTurns =
    lengthTurns.share > 0.85 && lengthTurns.low < 0.85 * lengthTurns.high && beats.length >= 8;
  const kinds = kindsOf(beats, takeTurns);
  const placed = beats
    .map((beat, n) => ({
      ...beat,
      kind: kinds[n] ?? 0,
      from: Math.max(0, Math.round(beat.halfUpAt) - before),
    }))
    .filter(({ from }) => from + length <= pressures.length);
  const parts = placed.map(({ from, sapMmHg, dapMmHg }) => {
    const part = pressures.subarray(from, from + length);
    // Small and tall beats count the same.
    return part.map((p) => (p - dapMmHg) / Math.max(1, sapMmHg - dapMmHg));
  });
  const likeness = likenessOf(
    parts,
    placed.map(({ kind }) => kind),
    length,
  );
  const apart = mean(intervalsS);
  // 100 values a second are enough to compare.
  const every = Math.max(1, Math.floor(samplesPerS / 100));
  const stretches = read.map(({ from, to }) => thinned(pressures.subarray(from, to), every));
  const usualS = quantile(intervalsS, 0.5);
  const after = (n: number) =>
    selfLikeness(stretches, Math.round((n * usualS * samplesPerS) / every), samplesPerS / every);
  const skewness = slopeSkewness(
    Float64Array.from(stretches.flatMap((one) => Array.from(one))),
    samplesPerS / every,
    Math.max(0.02, 0.1 * usualS),
  );
  const overtones = overtonesOf(pressures, beats);
  const inPauses = waveInPause(pressures, beats, samplesPerS);
  return {
    turns: takeTurns ? { shortS: lengthTurns.low / samplesPerS } : null,
    smallToTall: pulseTurns.share > 0.7 ? pulseTurns.low / pulseTurns.high : 1,
    soonTrough: soonTroughOf(beats, samplesPerS, apart),
    hidesSecond: hidesSecond(pressures, samplesPerS, beats),
    pausesHideBeats: inPauses.wave > inPause.wave,
    waveInPause: inPauses.wave,
    pauseShare: inPauses.share,
    lateRise: tallestLateRise(pressures, beats, samplesPerS),
    hidesBeats: hidesBeats(pressures, beats, samplesPerS),
    lopsidedMmHg: Math.max(
      lopsided(beats.map(({ sapMmHg }) => sapMmHg)),
      lopsided(beats.map(({ dapMmHg }) => dapMmHg)),
    ),
    alike: quantile(likeness, 0.5),
    alikeShare: likeness.filter((one) => one > 0.8).length / likeness.length,
    intervalVariation: standardDeviation(intervalsS) / apart,
    pulseVariation: standardDeviation(pulses) / Math.max(1, mean(pulses)),
    repeats: Math.max(after(1), after(2)),
    skewness,
    overtones,
    climbsLong: climbsLong(beats, samplesPerS, { skewness, overtones }),
  };
}
