import {
  pointsPerBeat,
  pressuresOfBeat,
  referenceWaveform,
} from '../../../src/domain/dynamic-response/reference-waveform.ts';

/** How beats follow each other, and how tall each is against the usual one. */
export type MadeRhythm =
  /** Intervals vary by a standard deviation of `variation`, as a share of the usual one. */
  | { kind: 'regular'; variation: number }
  /** Every second beat is of this size. */
  | { kind: 'alternans'; small: number; variation: number }
  /** Every second beat comes after this share of the usual interval, is of this size, and a pause makes up for it. */
  | { kind: 'bigeminy'; coupling: number; small: number }
  /** Every nth beat does not come. */
  | { kind: 'dropped'; every: number }
  /** One beat in `every` comes early, weak, with a pause after it. */
  | { kind: 'premature'; every: number; coupling: number; small: number }
  /** Intervals as in atrial fibrillation: each drawn by itself, the beat after a short one smaller. */
  | { kind: 'fibrillation'; variation: number };

/** A heartbeat that makes a pulse: when it begins, s, and its size; 1 is usual. */
export interface MadeBeat {
  atS: number;
  size: number;
}

/** Beats from `fromS` until after `toS`. */
export function beatsMade(
  rhythm: MadeRhythm,
  { ratePerMin, fromS, toS, bell }: { ratePerMin: number; fromS: number; toS: number; bell: () => number },
): MadeBeat[] {
  const usualS = 60 / ratePerMin;
  const beats: MadeBeat[] = [];
  let atS = fromS;
  let beforeS = usualS;
  for (let n = 0; atS < toS + 3 * usualS; n += 1) {
    const varied = (share: number) => usualS * Math.max(0.45, 1 + share * bell());
    switch (rhythm.kind) {
      case 'regular':
        beats.push({ atS, size: 1 });
        atS += varied(rhythm.variation);
        break;
      case 'alternans':
        beats.push({ atS, size: n % 2 === 1 ? rhythm.small : 1 });
        atS += varied(rhythm.variation);
        break;
      case 'bigeminy': {
        const early = n % 2 === 1;
        beats.push({ atS, size: early ? rhythm.small : 1 });
        // Both intervals together are two usual ones.
        atS += usualS * (early ? 2 - rhythm.coupling : rhythm.coupling) * (1 + 0.01 * bell());
        break;
      }
      case 'dropped':
        if (n % rhythm.every !== rhythm.every - 1) beats.push({ atS, size: 1 });
        atS += varied(0.015);
        break;
      case 'premature': {
        const place = n % rhythm.every;
        const early = place === rhythm.every - 1;
        beats.push({ atS, size: early ? rhythm.small : 1 });
        const share = place === rhythm.every - 2 ? rhythm.coupling : early ? 2 - rhythm.coupling : 1;
        atS += usualS * share * (1 + 0.015 * bell());
        break;
      }
      case 'fibrillation': {
        // A short filling makes a small stroke.
        beats.push({ atS, size: Math.min(1.2, Math.max(0.5, 0.35 + 0.65 * (beforeS / usualS))) });
        beforeS = varied(rhythm.variation);
        atS += beforeS;
        break;
      }
    }
  }
  return beats;
}

/**
 * Shapes of a pulse. `reference`: the project's own reference wave, as long as the beat. The others last as long as the
 * heart's stroke does and then run off, however long the pause: `windkessel` (a stroke of half a sine into an elastic
 * vessel, with a wave after it), `peaked` (the same with a sharp early peak, as far out in the limb), `round` (no notch).
 */
export const madeWaves = ['reference', 'windkessel', 'peaked', 'round'] as const;
export type MadeWave = (typeof madeWaves)[number];

export interface TrainOptions {
  wave: MadeWave;
  /** Height of the wave after the notch, as a share of the pulse. */
  afterwave: number;
  /** Time in which the run-off falls to 37 %, s. */
  runOffS: number;
  usualS: number;
  fromS: number;
  stepS: number;
  count: number;
}

const unit = pressuresOfBeat(referenceWaveform(1, 0));
function referenceAt(phase: number): number {
  const place = (phase % 1) * pointsPerBeat;
  const below = Math.floor(place);
  const [a, b] = [unit[below % pointsPerBeat] ?? 0, unit[(below + 1) % pointsPerBeat] ?? 0];
  return a + (b - a) * (place - below);
}

/** Beyond nine widths it is less than the rounding of a number near 1. */
function swell(x: number, centre: number, width: number): number {
  const off = (x - centre) / width;
  return off > 9 || off < -9 ? 0 : Math.exp(-0.5 * off * off);
}

/** The pulse of a row of beats, in no unit yet, at `count` instants `stepS` apart from `fromS`. */
export function trainOf(beats: readonly MadeBeat[], options: TrainOptions): Float64Array {
  const { wave, afterwave, runOffS, usualS, fromS, stepS, count } = options;
  // The stroke takes a third to a half of the beat, and not above 0.3 s (common practice, no source).
  const strokeS = Math.min(0.3, 0.42 * usualS);
  const out = new Float64Array(count);
  let [at, stored] = [0, 0];
  for (let k = 0; k < count; k += 1) {
    const t = fromS + k * stepS;
    while ((beats[at + 1]?.atS ?? Number.POSITIVE_INFINITY) <= t) at += 1;
    const beat = beats[at] ?? { atS: t, size: 0 };
    const before = beats[at - 1];
    const since = t - beat.atS;
    if (wave === 'reference') {
      const lengthS = (beats[at + 1]?.atS ?? beat.atS + usualS) - beat.atS;
      out[k] = beat.size * referenceAt(since / lengthS);
      continue;
    }
    const flow = since >= 0 && since < strokeS ? Math.sin((Math.PI * since) / strokeS) : 0;
    stored += stepS * ((beat.size * flow * Math.PI) / (2 * strokeS) - stored / runOffS);
    let p = stored;
    for (const one of [beat, before]) {
      if (!one) continue;
      const x = (t - one.atS) / strokeS;
      if (wave !== 'round') p += one.size * afterwave * swell(x, 1.45, 0.17);
      if (wave === 'peaked') p += one.size * 0.35 * swell(x, 0.42, 0.14);
    }
    out[k] = p;
  }
  return out;
}
