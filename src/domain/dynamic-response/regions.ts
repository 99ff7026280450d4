import { plausibleRingingHz, type Reckoned, type ReckonedDamping } from './measured-test.ts';

/**
 * A ward's limits for the fast-flush test. The published regions (optimal, adequate, underdamped, overdamped,
 * unacceptable: Gardner RM, Anesthesiology 1981;54:227-236) are a drawing without a table, so these are approximate. Units are
 * in the names.
 */
export interface FlushTestRegions {
  /** Below this natural frequency, Hz, a line is unacceptable whatever its damping. */
  unacceptableBelowHz: number;
  /** From there to below this, Hz, it is borderline. */
  borderlineBelowHz: number;
  /** Damping that is good from a natural frequency on; ascending from 0 Hz, the last one that applies counts. */
  good: readonly { fromHz: number; low: number; high: number }[];
  /** Damping outside the good that is still adequate where the natural frequency reaches what is wanted. */
  adequate: { low: number; high: number };
  /** Natural frequency wanted, in multiples of the heart rate. */
  wantedMultiple: number;
  /** Natural frequency wanted, Hz, where the heart rate is not known. */
  wantedWithoutRateHz: number;
}

/**
 * What a ward starts with. Below 7 Hz: Mark JB, Atlas of Cardiovascular Monitoring, 1998, in Miller's Anesthesia 6th ed.,
 * Fig 32-9. 7.5 Hz: quoted from Gardner 1981, from memory. Damping 0.4 to 0.8: common practice around the published best
 * of 0.6 to 0.7. Adequate from 0.2: a line of 17 Hz and 0.2 is called so in Miller's Fig 32-10, eight Beagles' lines of 14
 * to 38 Hz and 0.21 to 0.29 too; up to 1.0: no source. Wanted 8 × the heart rate: between the published 5 and 10. Wanted
 * 24 Hz where the rate is not known: Deranged Physiology, "Arterial line dynamic response testing".
 */
export const defaultFlushTestRegions: FlushTestRegions = {
  unacceptableBelowHz: 7,
  borderlineBelowHz: 7.5,
  good: [{ fromHz: 0, low: 0.4, high: 0.8 }],
  adequate: { low: 0.2, high: 1 },
  wantedMultiple: 8,
  wantedWithoutRateHz: 24,
};

/** What a measured line is called, the best first. */
export const regionNames = [
  'good',
  'adequate',
  'slow for this heart rate',
  'underdamped',
  'overdamped',
  'borderline',
  'unacceptable',
] as const;
/** What a measured line is called. */
export type Region = (typeof regionNames)[number];

/** Where a line lies among a ward's limits. */
export interface RegionVerdict {
  region: Region;
  /** The damping by itself. */
  damping: 'under' | 'good' | 'over';
  /** Low: below what is wanted for this heart rate, Hz. */
  frequency: 'low' | 'enough';
  wantedHz: number;
  /** Beats per minute it's judged at; null where not known. */
  heartRatePerMin: number | null;
  /** What named the region: the ward's limits, or the error that's expected on this pulse. */
  by: 'limits' | 'error';
}

/**
 * Natural frequency wanted for a patient, Hz: a multiple of the heart rate, beats per minute (above 0); null where the rate
 * is not known. Example: 8 × 180 /min → 24 Hz.
 */
export function wantedHz(regions: FlushTestRegions, heartRatePerMin: number | null): number {
  if (heartRatePerMin === null) return regions.wantedWithoutRateHz;
  return (regions.wantedMultiple * heartRatePerMin) / 60;
}

/**
 * Verdict on a line by the ward's limits: `naturalHz` (Hz) and `damping` (a number) both above 0, `heartRatePerMin` null
 * where not known. Always show it as approximate, beside what the line is expected to do to this patient's pressures.
 *
 * Example: 14.8 Hz and 0.11 at 180 /min → underdamped, and slower than the 24 Hz wanted.
 */
export function regionOf(
  { naturalHz, damping }: { naturalHz: number; damping: number },
  heartRatePerMin: number | null,
  regions: FlushTestRegions = defaultFlushTestRegions,
): RegionVerdict {
  const row = regions.good.findLast(({ fromHz }) => naturalHz >= fromHz) ?? regions.adequate;
  const wanted = wantedHz(regions, heartRatePerMin);
  const side = damping < row.low ? 'under' : damping > row.high ? 'over' : 'good';
  const low = naturalHz < wanted;
  const { adequate } = regions;
  const region = ((): Region => {
    if (naturalHz < regions.unacceptableBelowHz) return 'unacceptable';
    if (naturalHz < regions.borderlineBelowHz) return 'borderline';
    if (side === 'good') return low ? 'slow for this heart rate' : 'good';
    if (!low && damping >= adequate.low && damping <= adequate.high) return 'adequate';
    return side === 'under' ? 'underdamped' : 'overdamped';
  })();
  const frequency = low ? 'low' : 'enough';
  return { region, damping: side, frequency, wantedHz: wanted, heartRatePerMin, by: 'limits' };
}

/** Both ends, each limit between them and the middle of each stretch: no region within can hide from these. */
function probes(low: number, high: number, limits: readonly number[]): number[] {
  const steps = [low, ...limits.filter((limit) => limit > low && limit < high), high].toSorted(
    (a, b) => a - b,
  );
  return steps.flatMap((step, i) => [step, (step + (steps[i + 1] ?? step)) / 2]);
}

/** All verdicts that the reading error of a test leaves open; an open upper end of the frequency is taken as 100 Hz. */
export function verdictsWithin(
  naturalHz: Reckoned,
  damping: ReckonedDamping,
  heartRatePerMin: number | null,
  regions: FlushTestRegions = defaultFlushTestRegions,
): RegionVerdict[] {
  const { unacceptableBelowHz, borderlineBelowHz, good, adequate } = regions;
  const limitsHz = [
    unacceptableBelowHz,
    borderlineBelowHz,
    wantedHz(regions, heartRatePerMin),
    ...good.map(({ fromHz }) => fromHz),
  ];
  const limits = [...good, adequate].flatMap(({ low, high }) => [low, high]);
  const dampings = probes(damping.low, damping.high, limits);
  return probes(naturalHz.low, naturalHz.high ?? plausibleRingingHz.highest, limitsHz).flatMap((fn) =>
    dampings.map((coefficient) =>
      regionOf({ naturalHz: fn, damping: coefficient }, heartRatePerMin, regions),
    ),
  );
}

/**
 * All regions that the reading error of a test leaves open, in the order of `regionNames`; one alone means the verdict
 * stands whatever half a square hid.
 */
export function regionsWithin(...test: Parameters<typeof verdictsWithin>): Region[] {
  const found = new Set(verdictsWithin(...test).map(({ region }) => region));
  return regionNames.filter((region) => found.has(region));
}
