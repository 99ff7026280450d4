import {
  type ExpectedErrorRange,
  expectedError,
  expectedErrorOfTest,
  type LineSystem,
  type SystolicDiastolic,
} from './expected-error.ts';
import type { MeasuredTest } from './measured-test.ts';
import { type FlushTestRegions, type Region, type RegionVerdict, regionOf } from './regions.ts';

/** A line whose fast-flush test was measured; `measured` where half a square of reading error is known with it. */
export interface MeasuredLine {
  system: LineSystem;
  measured: Extract<MeasuredTest, { result: 'measured' }> | null;
}

/** What a ward wants of a line's response. */
export interface ResponseLimits {
  regions: FlushTestRegions;
  /** The systolic or diastolic may be expected to be this far off, mmHg. */
  errorMmHg: number;
}

/** What a measured line does to one patient's pulse. */
export interface ResponseAt {
  /** The ward's region, which agrees with the error. */
  verdict: RegionVerdict;
  /** Null where no pulse is shown, so that there is nothing to be off. */
  error: ExpectedErrorRange | null;
  /** Whether systolic and diastolic can be gone by: a good or adequate line, and no error beyond the ward's limit. */
  isEnough: boolean;
}

const enough: readonly Region[] = ['good', 'adequate'];

/** Furthest that systolic or diastolic may be off, mmHg, the reading error of the test included. */
export function furthestOffMmHg({ low, high }: ExpectedErrorRange): number {
  return Math.max(...[low, high].flatMap(({ sapMmHg, dapMmHg }) => [Math.abs(sapMmHg), Math.abs(dapMmHg)]));
}

/**
 * How a measured line answers at a heart rate (beats per minute, above 0), and by how much it is expected to show these
 * pressures (mmHg, as the monitor shows them) wrongly. A region says nothing of the pulse: "adequate" at a pulse pressure of
 * 90 mmHg may be 8 mmHg off. Where the error is beyond the limit, the region is named by which way it is off.
 *
 * Regions and direction of the error: Gardner RM, Anesthesiology 1981;54:227-236. The size of the error is our own model's
 * (see `expectedError`).
 *
 * Example: 16.0 Hz and 0.25 at 110 /min, 150 over 60 shown: +8 mmHg systolic, so underdamped, though 110 /min asks for no
 * more than 14.7 Hz.
 */
export function responseAt(
  line: MeasuredLine,
  heartRatePerMin: number,
  shown: SystolicDiastolic,
  { regions, errorMmHg }: ResponseLimits,
): ResponseAt {
  const verdict = regionOf(line.system, heartRatePerMin, regions);
  const error = shown.sapMmHg > shown.dapMmHg ? errorOf(line, heartRatePerMin, shown) : null;
  const isBeyond = error !== null && furthestOffMmHg(error) > errorMmHg;
  if (!isBeyond || !(enough.includes(verdict.region) || verdict.region === 'slow for this heart rate'))
    return { verdict, error, isEnough: !isBeyond && enough.includes(verdict.region) };
  const isWide = error.value.sapMmHg - error.value.dapMmHg > 0;
  return {
    verdict: {
      ...verdict,
      region: isWide ? 'underdamped' : 'overdamped',
      damping: isWide ? 'under' : 'over',
      by: 'error',
    },
    error,
    isEnough: false,
  };
}

function errorOf(
  { system, measured }: MeasuredLine,
  heartRatePerMin: number,
  shown: SystolicDiastolic,
): ExpectedErrorRange {
  const range = measured && expectedErrorOfTest(measured, heartRatePerMin, shown);
  if (range) return range;
  const value = expectedError(system, heartRatePerMin, shown);
  return { value, low: value, high: value };
}

/** A search for the fastest heart goes in steps of this, beats per minute. */
const rateStep = 10;

/**
 * Up to which heart rate a measured line can be gone by for systolic and diastolic, looked for among the rates from `from` to
 * `to` (beats per minute) in steps of ten; `all` where none of them is too fast, null where the slowest is already.
 */
export function enoughUpTo(
  line: MeasuredLine,
  shown: SystolicDiastolic,
  limits: ResponseLimits,
  { from, to }: { from: number; to: number },
): number | 'all' | null {
  let last: number | null = null;
  for (let rate = from; rate <= to; rate += rateStep) {
    // The region costs little: most lines end here.
    const isOut = !enough.includes(regionOf(line.system, rate, limits.regions).region);
    if (isOut || !responseAt(line, rate, shown, limits).isEnough) return last;
    last = rate;
  }
  return 'all';
}
