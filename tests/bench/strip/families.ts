import { bellFrom, chanceFrom } from '../../support/simulated-strip.ts';
import {
  type MadeExcursion,
  type MadeStrip,
  type MadeStripOptions,
  madeStrip,
} from '../../support/strips/made-strip.ts';
import { type NotAPulse, notAPulse, notAPulseKinds } from '../../support/strips/not-a-pulse.ts';
import { type MadeRhythm, madeWaves } from '../../support/strips/pulse-train.ts';

const rates = [20, 30, 40, 60, 90, 120, 160, 200, 240, 280, 300, 320] as const;
const dampings = [0.03, 0.05, 0.1, 0.2, 0.4, 0.7, 1.2] as const;
const naturalsHz = [6, 10, 16, 30] as const;
const samplings = [100, 125, 200, 250, 500] as const;
/** Lengths of a strip, s; of a slow pulse mostly such that a dozen beats are on it. */
const lengthsS = (ratePerMin: number) =>
  ratePerMin < 50 ? ([10, 20, 30, 30, 45, 60] as const) : ([5, 8, 10, 15, 20, 20, 30, 60] as const);

/** Waves that run off in a pause; the reference wave would be stretched over it, which no pulse is. */
const runsOff = ['windkessel', 'peaked', 'round'] as const;

/** A kind of strip, and how many of it one measurement makes. */
export const families = {
  'steady pulse, no flush': 3360,
  'steady pulse, one fast flush': 5040,
  'fast flush, valve shuts in 20 to 100 ms': 840,
  'large dicrotic wave, slow rate': 840,
  'pulsus alternans': 1680,
  bigeminy: 1680,
  'dropped beats': 1260,
  'early beats now and then': 840,
  'intervals as in atrial fibrillation': 1680,
  'limb raised': 840,
  'open to air': 840,
  'tap closed': 840,
  'line clamped': 840,
  'cut off at a rail': 840,
  'drift of 0.2 to 5 mmHg/s': 840,
  'mains hum, 50 and 60 Hz': 840,
  'white noise of 1 to 8 mmHg': 840,
  'no pulse at all': 2100,
} as const;
export type Family = keyof typeof families;
export const familyNames = Object.keys(families) as Family[];

/** A strip with or without a pulse. */
export type DrawnStrip =
  | { is: 'pulse'; made: MadeStrip }
  | { is: 'no pulse'; kind: NotAPulse; strip: MadeStrip['strip'] };

interface Draws {
  one: <T>(of: readonly T[]) => T;
  between: (low: number, high: number) => number;
}

function drawsFrom(chance: () => number): Draws {
  return {
    one: (of) => {
      const taken = of[Math.floor(chance() * of.length)];
      if (taken === undefined) throw new RangeError('nothing to draw from');
      return taken;
    },
    between: (low, high) => low + (high - low) * chance(),
  };
}

function rhythmOf(family: Family, { one, between }: Draws): MadeRhythm {
  const uneven: Partial<Record<Family, () => MadeRhythm>> = {
    'pulsus alternans': () => ({
      kind: 'alternans',
      small: between(0.5, 0.75),
      variation: between(0.005, 0.03),
    }),
    bigeminy: () => ({ kind: 'bigeminy', coupling: between(0.55, 0.8), small: between(0.5, 0.9) }),
    'dropped beats': () => ({ kind: 'dropped', every: one([3, 4, 5, 6]) }),
    'early beats now and then': () => ({
      kind: 'premature',
      every: one([5, 7, 9]),
      coupling: between(0.6, 0.75),
      small: between(0.5, 0.9),
    }),
    'intervals as in atrial fibrillation': () => ({ kind: 'fibrillation', variation: between(0.15, 0.28) }),
  };
  return uneven[family]?.() ?? { kind: 'regular', variation: between(0.003, 0.03) };
}

/** An excursion of its kind; one without a pulse lasts three beats at least, since one missing beat is a pause. */
function excursionsOf(
  family: Family,
  seconds: number,
  usualS: number,
  { between, one }: Draws,
): MadeExcursion[] {
  const atS = between(0.25, 0.5) * seconds;
  const lengthS = Math.max(between(1.5, 4), 3.2 * usualS);
  const flush = () => ({ kind: 'flush', atS, lengthS: between(0.6, 2), mmHg: between(220, 300) }) as const;
  const made: Partial<Record<Family, () => MadeExcursion>> = {
    'steady pulse, one fast flush': flush,
    'fast flush, valve shuts in 20 to 100 ms': () => ({ ...flush(), shutsS: between(0.02, 0.1) }),
    'limb raised': () => ({
      kind: 'limb raised',
      atS,
      lengthS: lengthS + 1,
      mmHg: one([-1, 1]) * between(15, 40),
    }),
    'open to air': () => ({ kind: 'open to air', atS, lengthS }),
    'tap closed': () => ({ kind: 'tap closed', atS, lengthS: lengthS + 1 }),
    'line clamped': () => ({ kind: 'clamped', atS, lengthS: lengthS + 1 }),
  };
  const own = made[family];
  return own === undefined ? [] : [own()];
}

/** The strip of a family and a number; the same seed draws the same. */
export function drawnStrip(family: Family, index: number, seed: number): DrawnStrip {
  const own = (seed * 7_919 + familyNames.indexOf(family) * 104_729 + index * 31 + 17) >>> 0;
  const chance = chanceFrom(own);
  for (let i = 0; i < 3; i += 1) chance();
  const draws = drawsFrom(chance);
  const { one, between } = draws;
  const samplesPerS = one(samplings);
  if (family === 'no pulse at all') {
    const kind = notAPulseKinds[index % notAPulseKinds.length] ?? 'white noise';
    const seconds = one(lengthsS(90));
    return {
      is: 'no pulse',
      kind,
      strip: notAPulse(kind, { seconds, samplesPerS, chance, bell: bellFrom(chance) }),
    };
  }
  const isSlow = family === 'large dicrotic wave, slow rate';
  const all = isSlow ? rates.slice(0, 5) : rates;
  const ratePerMin = (all[index % all.length] ?? 60) * between(0.97, 1.03);
  const damping = dampings[Math.floor(index / all.length) % dampings.length] ?? 0.6;
  const naturalHz =
    (naturalsHz[Math.floor(index / (all.length * dampings.length)) % naturalsHz.length] ?? 16) *
    between(0.9, 1.2);
  const hasExcursion = excursionsOf(family, 20, 1, draws).length > 0;
  const seconds = one(lengthsS(ratePerMin).filter((s) => !hasExcursion || s >= (ratePerMin < 50 ? 30 : 10)));
  const pulseMmHg = ratePerMin > 230 ? between(18, 50) : between(22, 70);
  const dapMmHg = between(35, 95);
  const isRail = family === 'cut off at a rail';
  const topMmHg =
    isRail && chance() < 0.7 ? dapMmHg + pulseMmHg * between(0.3, 1.05) : one([280, 300, 320, 350]);
  const bottomMmHg =
    isRail && topMmHg > 279 ? dapMmHg + pulseMmHg * between(-0.1, 0.3) : one([-50, -40, -99]);
  const rhythm = rhythmOf(family, draws);
  const options: MadeStripOptions = {
    seed: own,
    seconds,
    samplesPerS,
    ratePerMin,
    rhythm,
    wave: isSlow
      ? one(['windkessel', 'peaked', 'reference'] as const)
      : one(rhythm.kind === 'regular' || rhythm.kind === 'alternans' ? madeWaves : runsOff),
    afterwave: isSlow ? between(0.25, 0.5) : between(0.05, 0.3),
    runOffS: between(0.5, 1.6),
    dapMmHg,
    sapMmHg: dapMmHg + pulseMmHg,
    line: { naturalHz, damping },
    noiseMmHg: family.startsWith('white noise') ? between(1, 8) : between(0.1, 0.8),
    hum: family.startsWith('mains hum')
      ? { hz: one([50, 60]) + between(-0.05, 0.05), mmHg: between(1, 6) }
      : null,
    driftMmHgPerS: family.startsWith('drift') ? one([-1, 1]) * one([0.2, 0.5, 1, 2, 3, 5]) : 0,
    breath: { perMin: between(8, 30), mmHg: between(0, 4), pulseShare: between(0, 0.08) },
    excursions: excursionsOf(family, seconds, 60 / ratePerMin, draws),
    clipAboveMmHg: topMmHg,
    clipBelowMmHg: bottomMmHg,
    stepMmHg: one([0.01, 0.1, 0.25, 1]),
  };
  return { is: 'pulse', made: madeStrip(options) };
}
