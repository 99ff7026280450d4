import type { RegionVerdict } from './regions.ts';

/** What can make a line ring or lag, in the trade's order of looking: from the animal outwards. */
export const causeNames = ['kink', 'clot', 'loose joint', 'bubble', 'soft tubing', 'long tubing'] as const;
/** What may be wrong with a line by its fast-flush test. */
export type CauseName = (typeof causeNames)[number];

/** A cause that fits what the test found. */
export interface LikelyCause {
  cause: CauseName;
  /** Whether it explains both the damping and the frequency, or only part. */
  fits: 'well' | 'partly';
  why: string;
  /** What to try, one sentence for the bedside. */
  tryThis: string;
}

/** What the test found; `unknown` where no whole cycle or no second swing was seen. */
export interface ResponseFound {
  damping: RegionVerdict['damping'];
  frequency: RegionVerdict['frequency'] | 'unknown';
}

const why: Readonly<Record<CauseName, string>> = {
  kink: 'A narrow place slows the fluid: more damping, hardly a change of frequency.',
  clot: 'Clot at the tip narrows the catheter: more damping, hardly a change of frequency.',
  'loose joint': 'A joint that leaks lets pressure out and air in: more damping.',
  bubble:
    'Air gives way under pressure: the frequency falls. A small bubble still rings and reads too high, a large one damps and reads too low.',
  'soft tubing': 'Walls that give way act like air: the frequency falls and the damping rises.',
  'long tubing': 'More fluid has to swing: the frequency falls, the damping rises little.',
};

const tryThis: Readonly<Record<CauseName, string>> = {
  kink: 'Look at the catheter under the dressing and at the joint position; straighten limb and catheter, see that no tape pinches.',
  clot: 'Draw back gently until blood flows freely, then flush gently; never flush against resistance.',
  'loose joint':
    'Feel every joint and tap from the catheter to the transducer; tighten what is loose, look for wet places.',
  bubble:
    'Look for air in taps, joints, tubing and transducer; draw or flush it out at a tap, away from the animal, never into the artery.',
  'soft tubing': 'Replace soft extension tubing by stiff pressure tubing.',
  'long tubing': 'Take out extensions and taps that are not needed; the shorter the better.',
};

type Fits = Partial<Record<CauseName, LikelyCause['fits']>>;

/**
 * What fits which finding, from the mechanics of a fluid column (see `likelyCauses`). A bubble or soft tubing makes the
 * system more yielding, long tubing makes it heavier: both slow it. A kink or clot only adds friction.
 */
const fitting: Readonly<
  Record<RegionVerdict['damping'], Readonly<Record<RegionVerdict['frequency'], Fits>>>
> = {
  over: {
    low: { kink: 'partly', clot: 'partly', 'loose joint': 'partly', bubble: 'well', 'soft tubing': 'well' },
    enough: { kink: 'well', clot: 'well', 'loose joint': 'partly' },
  },
  under: {
    low: { bubble: 'well', 'soft tubing': 'partly', 'long tubing': 'well' },
    enough: {},
  },
  good: {
    low: { bubble: 'well', 'soft tubing': 'well', 'long tubing': 'well' },
    enough: {},
  },
};

/** What fits an unknown frequency: all that fits a low or a sufficient one, well only where it fits both well. */
function fitsOf({ damping, frequency }: ResponseFound): Fits {
  const byFrequency = fitting[damping];
  if (frequency !== 'unknown') return byFrequency[frequency];
  const either: Fits = {};
  for (const cause of causeNames) {
    const [low, enough] = [byFrequency.low[cause], byFrequency.enough[cause]];
    if (low === undefined && enough === undefined) continue;
    either[cause] = low === 'well' && enough === 'well' ? 'well' : 'partly';
  }
  return either;
}

/** Said before any cause is looked for: a flat trace can be true. */
export const patientFirst =
  'First the animal: feel the pulse, look at the colour, take a cuff pressure. A poor trace can be a true one.';

/** Said where none of the causes fits though the line rings. */
export const stiffLine =
  'None of bubble, kink, clot, tubing or joint explains this: a stiff, fast line rings by itself. Go by the mean and compare with a cuff.';

/** What to do about a test: first the animal, then the causes that fit, in the order to look for them. */
export interface CausesToTry {
  first: string;
  causes: LikelyCause[];
  /** A sentence where no cause fits but the damping is not good; otherwise null. */
  otherwise: string | null;
}

/**
 * Which of kink, clot, loose joint, bubble, soft or long tubing fits a test, and what to try, in the trade's order: from
 * the animal outwards (common practice, no source). After each step the test is done again.
 *
 * From the mechanics of a fluid column (fn ∝ r / sqrt(length × compliance), ζ ∝ sqrt(length × compliance) / r³; from
 * memory, Fry DL, Physiol Rev 1960;40:753-788). A small bubble lowers the natural frequency and raises the pressure shown,
 * a large one makes false hypotension: Mark JB, Atlas of Cardiovascular Monitoring, 1998, Fig 9-14 (Miller's Anesthesia
 * 6th ed., Fig 32-10). Longer tubing, eight Beagles: 38 → 14 Hz, damping 0.21 → 0.29.
 *
 * Example: overdamped but fast enough → kink, clot, and partly a loose joint.
 */
export function likelyCauses(found: ResponseFound): CausesToTry {
  const fits = fitsOf(found);
  const causes = causeNames.flatMap((cause) => {
    const fit = fits[cause];
    return fit === undefined ? [] : [{ cause, fits: fit, why: why[cause], tryThis: tryThis[cause] }];
  });
  const otherwise = causes.length === 0 && found.damping !== 'good' ? stiffLine : null;
  return { first: patientFirst, causes, otherwise };
}
