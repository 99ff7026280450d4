import type { PressureStrip } from '../../../src/domain/strip/pressure-strip.ts';
import { bellFrom, chanceFrom } from '../simulated-strip.ts';
import { beatsMade, type MadeBeat, type MadeRhythm, type MadeWave, trainOf } from './pulse-train.ts';

/** What takes the trace away from the pulse for a while. */
export interface MadeExcursion {
  kind: 'flush' | 'open to air' | 'tap closed' | 'clamped' | 'limb raised';
  atS: number;
  lengthS: number;
  /** The bag's pressure, or by how much a limb's height moves the trace, mmHg. */
  mmHg?: number;
  /** How long a flush valve takes to shut, s. */
  shutsS?: number;
}

export interface MadeStripOptions {
  seed: number;
  seconds: number;
  samplesPerS: number;
  ratePerMin: number;
  rhythm: MadeRhythm;
  wave: MadeWave;
  afterwave: number;
  runOffS: number;
  sapMmHg: number;
  dapMmHg: number;
  line: { naturalHz: number; damping: number };
  noiseMmHg: number;
  hum: { hz: number; mmHg: number } | null;
  driftMmHgPerS: number;
  breath: { perMin: number; mmHg: number; pulseShare: number };
  excursions: readonly MadeExcursion[];
  clipAboveMmHg: number;
  clipBelowMmHg: number;
  /** The recorder's smallest step, mmHg. */
  stepMmHg: number;
}

/** A made strip; `clean` is what the line shows of the pulse alone: no noise, hum, drift or excursion. */
export interface MadeStrip {
  strip: PressureStrip;
  clean: Float64Array;
  beats: MadeBeat[];
  options: MadeStripOptions;
}

const settleS = 3;

/** A second-order line (natural frequency, damping), exact for an input held over each step. */
function throughLine(
  input: Float64Array,
  stepS: number,
  { naturalHz, damping }: MadeStripOptions['line'],
): Float64Array {
  const w = 2 * Math.PI * naturalHz;
  // The state over one step by the series of the matrix exponential; a step is short against the line.
  let [a11, a12, a21, a22] = [1, 0, 0, 1];
  let [t11, t12, t21, t22] = [1, 0, 0, 1];
  for (let n = 1; n < 16; n += 1) {
    const [m11, m12, m21, m22] = [0, stepS / n, (-w * w * stepS) / n, (-2 * damping * w * stepS) / n];
    [t11, t12, t21, t22] = [
      t11 * m11 + t12 * m21,
      t11 * m12 + t12 * m22,
      t21 * m11 + t22 * m21,
      t21 * m12 + t22 * m22,
    ];
    [a11, a12, a21, a22] = [a11 + t11, a12 + t12, a21 + t21, a22 + t22];
  }
  const out = new Float64Array(input.length);
  let [y, v] = [input[0] ?? 0, 0];
  for (let k = 0; k < input.length; k += 1) {
    out[k] = y;
    const u = input[k] ?? 0;
    // Held input: the distance from it obeys the free equation.
    const [d, e] = [y - u, v];
    y = u + a11 * d + a12 * e;
    v = a21 * d + a22 * e;
  }
  return out;
}

/** The pressure at the catheter with its excursions. */
function withExcursions(
  pulse: Float64Array,
  fromS: number,
  stepS: number,
  excursions: readonly MadeExcursion[],
): Float64Array {
  const out = Float64Array.from(pulse);
  for (const { kind, atS, lengthS, mmHg = 0, shutsS = 0 } of excursions) {
    const [from, to] = [Math.round((atS - fromS) / stepS), Math.round((atS + lengthS - fromS) / stepS)];
    const held = out[from] ?? 0;
    const rampS = 0.4;
    for (let k = Math.max(0, from); k < Math.min(out.length, to); k += 1) {
      const [since, left] = [(k - from) * stepS, (to - k) * stepS];
      const p = out[k] ?? 0;
      if (kind === 'flush') out[k] = p + (mmHg - p) * (shutsS > 0 ? Math.min(1, left / shutsS) : 1);
      else if (kind === 'open to air') out[k] = 0;
      else if (kind === 'tap closed') out[k] = held + 0.8 * since;
      else if (kind === 'clamped') out[k] = held + 0.05 * (p - held);
      else out[k] = p + mmHg * Math.min(1, since / rampS, left / rampS);
    }
  }
  return out;
}

/** Builds a strip; everything that chance decides comes from the seed. */
export function madeStrip(options: MadeStripOptions): MadeStrip {
  const { seed, seconds, samplesPerS, ratePerMin, rhythm, sapMmHg, dapMmHg, breath, line, excursions } =
    options;
  const bell = bellFrom(chanceFrom(seed));
  const per = Math.ceil(1000 / samplesPerS);
  const stepS = 1 / (samplesPerS * per);
  const fromS = -settleS;
  const count = Math.round((seconds + settleS) / stepS);
  const offset = 0.5 * (60 / ratePerMin) * (1 + bell() / 4);
  const beats = beatsMade(rhythm, { ratePerMin, fromS: fromS - 6 - offset, toS: seconds, bell });
  const usualS = 60 / ratePerMin;
  const raw = trainOf(beats, {
    ...options,
    usualS,
    fromS: fromS - 6,
    stepS,
    count: count + Math.round(6 / stepS),
  }).subarray(-count);
  const [low, high] = extremesOfTall(raw, beats, fromS, stepS);
  const pulse = raw.map((p, k) => {
    const b = Math.sin((2 * Math.PI * breath.perMin * (k * stepS)) / 60);
    return (
      dapMmHg +
      ((sapMmHg - dapMmHg) * (1 + breath.pulseShare * b) * (p - low)) / (high - low) +
      breath.mmHg * b
    );
  });
  const sampled = (wave: Float64Array) =>
    Float64Array.from(
      { length: Math.round(seconds * samplesPerS) },
      (_, i) => wave[Math.round(settleS / stepS) + i * per] ?? 0,
    );
  const clean = sampled(throughLine(pulse, stepS, line));
  const shown =
    excursions.length === 0
      ? clean
      : sampled(throughLine(withExcursions(pulse, fromS, stepS, excursions), stepS, line));
  return {
    strip: stripOf(recorded(shown, options, bell), options),
    clean,
    beats: beats.filter(({ atS }) => atS >= fromS),
    options,
  };
}

/** Usual lowest and highest value of the tall beats. */
function extremesOfTall(
  raw: Float64Array,
  beats: readonly MadeBeat[],
  fromS: number,
  stepS: number,
): [number, number] {
  const [lows, highs]: [number[], number[]] = [[], []];
  for (const [i, { atS, size }] of beats.entries()) {
    const next = beats[i + 1];
    if (!next || atS < fromS || size < 0.9) continue;
    const part = raw.subarray(Math.round((atS - fromS) / stepS), Math.round((next.atS - fromS) / stepS));
    if (part.length < 4) continue;
    highs.push(part.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY));
    lows.push(part.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY));
  }
  const middle = (of: number[]) => of.toSorted((a, b) => a - b)[Math.floor(of.length / 2)] ?? 0;
  return [middle(lows), middle(highs)];
}

/** What the recorder makes of a wave: drift, hum and noise on it, cut off at its rails, in its steps. */
export function recorded(
  wave: Float64Array,
  {
    samplesPerS,
    noiseMmHg,
    hum,
    driftMmHgPerS,
    clipAboveMmHg,
    clipBelowMmHg,
    stepMmHg,
  }: Pick<
    MadeStripOptions,
    'samplesPerS' | 'noiseMmHg' | 'hum' | 'driftMmHgPerS' | 'clipAboveMmHg' | 'clipBelowMmHg' | 'stepMmHg'
  >,
  bell: () => number,
): Float64Array {
  return wave.map((p, i) => {
    const t = i / samplesPerS;
    const hummed = hum === null ? 0 : hum.mmHg * Math.sin(2 * Math.PI * hum.hz * t + 0.7);
    const all = p + hummed + driftMmHgPerS * t + noiseMmHg * bell();
    const stepped = Math.round(all / stepMmHg) * stepMmHg;
    return Math.min(clipAboveMmHg, Math.max(clipBelowMmHg, stepped));
  });
}

/** A wave as a strip that was read from a file. */
export function stripOf(
  pressuresMmHg: Float64Array,
  { samplesPerS, seconds }: { samplesPerS: number; seconds: number },
): PressureStrip {
  return { samplesPerS, pressuresMmHg, channel: 'ABP', startsAtS: 0, fileS: seconds, notes: [] };
}
