import type { SystolicDiastolic } from '../dynamic-response/expected-error.ts';
import type { MeasuredTest } from '../dynamic-response/measured-test.ts';
import {
  defaultFlushTestRegions,
  type FlushTestRegions,
  type RegionVerdict,
  regionOf,
} from '../dynamic-response/regions.ts';
import { responseAt } from '../dynamic-response/response-at.ts';
import type { testVerdicts } from '../record/entry.ts';

type Verdict = (typeof testVerdicts)[number];

/**
 * The verdict of a test measured by hand, in the words of one judged by eye: by damping where the line is fast enough to
 * be judged, `cannot tell` where it is too slow for any pulse or no damping was measured. No second swing is overdamped
 * where the damping is so high for certain. `pulse`: pressures shown (mmHg) and the ward's limit for what they may be off, by
 * which the verdict is given for a known heart rate.
 */
export function verdictOfTest(
  measured: Exclude<MeasuredTest, { result: 'refused' }>,
  heartRatePerMin: number | null,
  regions: FlushTestRegions = defaultFlushTestRegions,
  pulse: { shown: SystolicDiastolic; errorMmHg: number } | null = null,
): Verdict {
  if (measured.result === 'no second swing') {
    const most = Math.max(...regions.good.map(({ high }) => high));
    return measured.dampingAtLeast > most ? 'overdamped' : 'cannot tell';
  }
  if (measured.naturalHz === null) return 'cannot tell';
  const system = { naturalHz: measured.naturalHz.value, damping: measured.damping.value };
  if (heartRatePerMin === null || pulse === null)
    return verdictOfRegion(regionOf(system, heartRatePerMin, regions));
  const { shown, errorMmHg } = pulse;
  return verdictOfRegion(
    responseAt({ system, measured }, heartRatePerMin, shown, { regions, errorMmHg }).verdict,
  );
}

/** A region in the words of a test judged by eye; too slow for any pulse and yet well damped, neither word fits. */
export function verdictOfRegion({ region, damping }: Pick<RegionVerdict, 'region' | 'damping'>): Verdict {
  switch (region) {
    case 'good':
    case 'adequate':
    case 'slow for this heart rate':
      return 'normal';
    case 'underdamped':
    case 'overdamped':
      return region;
    case 'borderline':
    case 'unacceptable':
      return damping === 'under' ? 'underdamped' : damping === 'over' ? 'overdamped' : 'cannot tell';
  }
}
