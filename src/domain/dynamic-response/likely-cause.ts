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
}

/** What the test found; `unknown` where no whole cycle or no second swing was seen. */
export interface ResponseFound {
  damping: RegionVerdict['damping'];
  frequency: RegionVerdict['frequency'] | 'unknown';
}

type Fits = Partial<Record<CauseName, LikelyCause['fits']>>;

/**
 * What fits which finding, from the mechanics of a fluid column (see `likelyCauses`). A bubble or soft tubing makes the
 * system more yielding, long tubing makes it heavier: both slow it. A kink or clot only adds friction. A joint that leaks lets
 * pressure out and air in.
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

/**
 * Which of kink, clot, loose joint, bubble, soft or long tubing fits a test, in the trade's order of looking: from the animal
 * outwards (common practice, no source).
 *
 * From the mechanics of a fluid column (fn ∝ r / sqrt(length × compliance), ζ ∝ sqrt(length × compliance) / r³; from
 * memory, Fry DL, Physiol Rev 1960;40:753-788). A small bubble lowers the natural frequency and raises the pressure shown,
 * a large one makes false hypotension: Mark JB, Atlas of Cardiovascular Monitoring, 1998, Fig 9-14 (Miller's Anesthesia
 * 6th ed., Fig 32-10). Longer tubing, eight Beagles: 38 → 14 Hz, damping 0.21 → 0.29.
 *
 * Example: overdamped but fast enough → kink, clot, and partly a loose joint.
 */
export function likelyCauses(found: ResponseFound): LikelyCause[] {
  const fitting = fitsOf(found);
  return causeNames.flatMap((cause) => {
    const fits = fitting[cause];
    return fits === undefined ? [] : [{ cause, fits }];
  });
}
