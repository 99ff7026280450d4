import { levelErrorMmHg } from '../level/level-error.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import { cuffDifference } from '../reading/cuff-difference.ts';
import { meanMisfitMmHg, pulsePressureMmHg } from '../reading/plausibility.ts';
import type { Cause, LineState, Reading } from '../record/line-state.ts';
import { shiftAt } from '../shifts/shift-calendar.ts';
import { minuteMs } from '../time.ts';
import { type ResponseDoubt, responseDoubt } from './line-response.ts';

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
  /** What the fast-flush test says, or that there was none. */
  | ResponseDoubt
  /** The mean recorded is this far from what the other two would make, mmHg; no pulse wave has it so. */
  | { doubt: 'mean misfit'; mmHg: number }
  | { doubt: 'no pulse pressure'; mmHg: number }
  /** Line less cuff, mmHg, of the pressure that differs most. */
  | { doubt: 'cuff differs'; what: 'systolic' | 'diastolic' | 'mean'; mmHg: number };

/**
 * Why the line's latest reading should not be believed as it stands; empty when nothing speaks against it. Derived from
 * what stood behind it when it was read (zero, disturbances, test) and what came to light since (drift, height, damping).
 *
 * Underdamped reads the systolic too high, overdamped too low, the mean hardly changes: Gardner RM, Anesthesiology
 * 1981;54:227-236. Zero drifts by up to ±2 mmHg in 3 h: Gordon VL et al., Med Instrum 1987;21(2):87-91. When to zero and
 * test again is the ward's: common practice, no source.
 */
export function doubtsOfReading(
  { reading, patient }: Pick<LineState, 'reading' | 'patient'>,
  policy: WardPolicy,
): Doubt[] {
  if (reading === null) return [];
  const { zeroedAt, unzeroed, unlevelled, zeroAfter, levelAfter } = reading;
  // What was done shortly before a shift counts for it, as it does for the duty.
  const shiftFrom = shiftAt(policy.shifts, reading.at).startMs - policy.shiftEarlyMin * minuteMs;
  const doubts: Doubt[] = [];
  if (zeroedAt === null) doubts.push({ doubt: 'never zeroed' });
  else if (unzeroed !== null) doubts.push({ doubt: 'not zeroed since', why: unzeroed.why });
  else if (zeroedAt < shiftFrom) doubts.push({ doubt: 'not zeroed this shift' });
  if (unzeroed === null && unlevelled !== null)
    doubts.push({ doubt: 'not levelled since', why: unlevelled.why });
  const offMmHg = zeroAfter?.openToAirMmHg ?? 0;
  if (Math.abs(offMmHg) > policy.driftLimitMmHg) doubts.push({ doubt: 'zero was off', mmHg: offMmHg });
  if (levelAfter && levelAfter.belowHeartCm !== 0) {
    const { belowHeartCm } = levelAfter;
    doubts.push({ doubt: 'not level', belowHeartCm, errorMmHg: levelErrorMmHg(belowHeartCm) });
  }
  const response = responseDoubt(reading, patient.species, policy, shiftFrom);
  if (response) doubts.push(response);
  const misfit = meanMisfitMmHg(reading);
  if (misfit !== null) doubts.push({ doubt: 'mean misfit', mmHg: Math.round(misfit) });
  const pulse = pulsePressureMmHg(reading);
  if (pulse < smallPulseMmHg) doubts.push({ doubt: 'no pulse pressure', mmHg: pulse });
  const wide = widestFromCuff(reading);
  if (wide) doubts.push(wide);
  // Said only where nothing else speaks against the reading: it is a condition rather than a fault.
  return doubts.length > 1
    ? doubts.filter((one) => one.doubt !== 'rate not recorded' || one.by !== 'eye')
    : doubts;
}

/** A pulse pressure below this is hardly a pulse on the monitor, mmHg; common practice, no source. */
const smallPulseMmHg = 10;

/** What of a reading can still be gone by, where its doubts leave anything. */
export type StillUsable =
  /** The mean the monitor showed, mmHg; null where none was recorded: one that is reckoned is off with the other two. */
  | { use: 'mean'; mmHg: number | null; after: 'nothing' | 'zeroing' }
  /** The mean too is off, by what the doubt says. */
  | { use: 'mean, as far off' };

/**
 * Which pressure of a doubted reading can still be gone by: what a line rings or lags by hardly touches the mean (Gardner RM,
 * Anesthesiology 1981;54:227-236); what its zero or height does touches all three. Null where the response of the line is
 * not in doubt, or the reading itself does not hold together.
 */
export function stillUsable(
  doubts: readonly Doubt[],
  { mapMmHg }: Pick<Reading, 'mapMmHg'>,
): StillUsable | null {
  const kinds = new Set(doubts.map(({ doubt }) => doubt));
  if (!responseDoubts.some((kind) => kinds.has(kind))) return null;
  if (kinds.has('mean misfit') || kinds.has('no pulse pressure')) return null;
  if (doubts.some((doubt) => doubt.doubt === 'cuff differs' && doubt.what === 'mean')) return null;
  if (kinds.has('zero was off') || kinds.has('not level')) return { use: 'mean, as far off' };
  const isUnzeroed = unzeroedDoubts.some((kind) => kinds.has(kind));
  return { use: 'mean', mmHg: mapMmHg ?? null, after: isUnzeroed ? 'zeroing' : 'nothing' };
}

const responseDoubts: readonly Doubt['doubt'][] = [
  'never tested',
  'not tested this shift',
  'damping',
  'by eye',
  'response',
  'rate not recorded',
];
const unzeroedDoubts: readonly Doubt['doubt'][] = [
  'never zeroed',
  'not zeroed since',
  'not zeroed this shift',
];

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
