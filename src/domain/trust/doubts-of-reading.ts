import { minuteMs } from '../duties/duty.ts';
import type { LineSystem } from '../dynamic-response/expected-error.ts';
import { measuredTest } from '../dynamic-response/measured-test.ts';
import { type Region, regionOf } from '../dynamic-response/regions.ts';
import { levelErrorMmHg } from '../level/level-error.ts';
import { testRegions } from '../policy/test-regions.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import { cuffDifference } from '../reading/cuff-difference.ts';
import { meanMisfitMmHg, pulsePressureMmHg } from '../reading/plausibility.ts';
import type { Cause, LineState, Reading } from '../record/line-state.ts';
import { shiftAt } from '../shifts/shift-calendar.ts';

/** A reason not to believe a reading as it stands. */
export type Doubt =
  | { doubt: 'never zeroed' }
  | { doubt: 'not zeroed since'; why: Cause['why'] }
  | { doubt: 'not zeroed this shift' }
  /** Zeroed since, but not levelled: the transducer or the patient stands elsewhere now. */
  | { doubt: 'not levelled since'; why: Cause['why'] }
  /** The next zero found the monitor this far off, open to air; above 0 it had read too high. */
  | { doubt: 'zero was off'; mmHg: number }
  /** The transducer was found this far below the heart (negative: above) afterwards. */
  | { doubt: 'not level'; belowHeartCm: number; errorMmHg: number }
  | { doubt: 'never tested' }
  | { doubt: 'not tested this shift' }
  /** The line was measured to be too slow for this heart rate, or for any. */
  | { doubt: 'slow'; naturalHz: number }
  /** The mean told is this far from what the other two would make, mmHg; no pulse wave has it so. */
  | { doubt: 'mean misfit'; mmHg: number }
  | { doubt: 'no pulse pressure'; mmHg: number }
  /** Line less cuff, mmHg, of the pressure that differs most. */
  | { doubt: 'cuff differs'; what: 'systolic' | 'diastolic' | 'mean'; mmHg: number }
  | { doubt: 'damping'; verdict: 'underdamped' | 'overdamped' | 'cannot tell' }
  /** The next test found the line so. */
  | { doubt: 'damping afterwards'; verdict: 'underdamped' | 'overdamped' };

/**
 * Why the line's latest reading should not be believed as it stands; empty when nothing speaks against it. Derived from
 * what stood behind it when it was read (zero, disturbances, test) and what came to light since (drift, height, damping).
 *
 * Underdamped reads the systolic too high, overdamped too low, the mean hardly changes: Gardner RM, Anesthesiology
 * 1981;54:227-236. Zero drifts by up to ±2 mmHg in 3 h: Gordon VL et al., Med Instrum 1987;21(2):87-91. When to zero and
 * test again is the ward's: common practice, no source.
 */
export function doubtsOfReading({ reading }: Pick<LineState, 'reading'>, policy: WardPolicy): Doubt[] {
  if (reading === null) return [];
  const { zeroedAt, unzeroed, unlevelled, test, zeroAfter, levelAfter, testAfter } = reading;
  // What was done shortly before a shift counts for it, as it does for the duty.
  const shiftFrom = shiftAt(policy.shifts, reading.at).startMs - policy.shiftEarlyMin * minuteMs;
  const doubts: Doubt[] = [];
  if (zeroedAt === null) doubts.push({ doubt: 'never zeroed' });
  else if (unzeroed !== null) doubts.push({ doubt: 'not zeroed since', why: unzeroed.why });
  else if (zeroedAt < shiftFrom) doubts.push({ doubt: 'not zeroed this shift' });
  if (zeroedAt !== null && unzeroed === null && unlevelled !== null)
    doubts.push({ doubt: 'not levelled since', why: unlevelled.why });
  const offMmHg = zeroAfter?.openToAirMmHg ?? 0;
  if (Math.abs(offMmHg) > policy.driftLimitMmHg) doubts.push({ doubt: 'zero was off', mmHg: offMmHg });
  if (levelAfter && levelAfter.belowHeartCm !== 0) {
    const { belowHeartCm } = levelAfter;
    doubts.push({ doubt: 'not level', belowHeartCm, errorMmHg: levelErrorMmHg(belowHeartCm) });
  }
  if (test === null) doubts.push({ doubt: 'never tested' });
  else if (test.verdict !== 'normal') doubts.push({ doubt: 'damping', verdict: test.verdict });
  else if (test.at < shiftFrom) doubts.push({ doubt: 'not tested this shift' });
  const isDamped = test !== null && (test.verdict === 'underdamped' || test.verdict === 'overdamped');
  if (!isDamped && (testAfter?.verdict === 'underdamped' || testAfter?.verdict === 'overdamped'))
    doubts.push({ doubt: 'damping afterwards', verdict: testAfter.verdict });
  const slowHz = slowOf(reading, policy);
  if (slowHz !== null) doubts.push({ doubt: 'slow', naturalHz: slowHz });
  const misfit = meanMisfitMmHg(reading);
  if (misfit !== null) doubts.push({ doubt: 'mean misfit', mmHg: Math.round(misfit) });
  const pulse = pulsePressureMmHg(reading);
  if (pulse < smallPulseMmHg) doubts.push({ doubt: 'no pulse pressure', mmHg: pulse });
  const wide = widestFromCuff(reading);
  if (wide) doubts.push(wide);
  return doubts;
}

/** A pulse pressure below this is hardly a pulse on the monitor, mmHg; common practice, no source. */
const smallPulseMmHg = 10;

/** Natural frequency of a line whose strip was measured and that is too slow, Hz; null where it is fast enough or not known. */
function slowOf({ test, testAfter, heartRatePerMin }: Reading, policy: WardPolicy): number | null {
  const slow: readonly Region[] = ['slow for this heart rate', 'borderline', 'unacceptable'];
  for (const measured of [test, testAfter]) {
    const system = measured && systemOf(measured);
    if (!system) continue;
    const rate = heartRatePerMin ?? measured.heartRatePerMin ?? null;
    if (slow.includes(regionOf(system, rate, testRegions(policy)).region)) return system.naturalHz;
  }
  return null;
}

function systemOf({ strip, read }: NonNullable<LineState['test']>): LineSystem | null {
  if (read && read.naturalHz !== null && read.damping !== null)
    return { naturalHz: read.naturalHz, damping: read.damping };
  const measured = strip && measuredTest(strip);
  if (measured?.result !== 'measured' || measured.naturalHz === null) return null;
  return { naturalHz: measured.naturalHz.value, damping: measured.damping.value };
}

function widestFromCuff({ cuff, ...line }: Reading): Doubt | null {
  if (!cuff) return null;
  const difference = cuffDifference(line, cuff);
  if (!difference.isWide) return null;
  const [widest] = (
    [
      ['systolic', difference.sapMmHg],
      ['diastolic', difference.dapMmHg],
      ['mean', difference.mapMmHg],
    ] as const
  ).toSorted(([, a], [, b]) => Math.abs(b ?? 0) - Math.abs(a ?? 0));
  return widest ? { doubt: 'cuff differs', what: widest[0], mmHg: widest[1] ?? 0 } : null;
}
