import type { SystolicDiastolic } from '../dynamic-response/expected-error.ts';
import { type MeasuredTest, measuredTest } from '../dynamic-response/measured-test.ts';
import type { Region } from '../dynamic-response/regions.ts';
import {
  enoughUpTo,
  type MeasuredLine,
  type ResponseAt,
  responseAt,
} from '../dynamic-response/response-at.ts';
import type { Species } from '../patient/species.ts';
import { responseLimits } from '../policy/test-regions.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState, Reading } from '../record/line-state.ts';

type Test = NonNullable<LineState['test']>;

/** Why systolic and diastolic should not be gone by, from what the fast-flush test found. The mean hardly suffers. */
export type ResponseDoubt =
  | { doubt: 'never tested' }
  | { doubt: 'not tested this shift' }
  /** Judged by eye; `afterwards`: by the next test after the reading. */
  | { doubt: 'damping'; verdict: 'underdamped' | 'overdamped' | 'cannot tell'; afterwards: boolean }
  /** Judged normal by eye, and at this heart rate the eye cannot tell whether the line is fast enough. */
  | { doubt: 'by eye'; perMin: number; rateFrom: RateFrom }
  /** Measured, and at this heart rate not good enough for this pulse. */
  | {
      doubt: 'response';
      region: Region;
      perMin: number;
      rateFrom: RateFrom;
      naturalHz: number;
      wantedHz: number;
      error: ResponseAt['error'];
      afterwards: boolean;
    }
  /** No heart rate was recorded. Good enough up to this one, beats per minute; null: at none that the animal can have. */
  | { doubt: 'rate not recorded'; upToPerMin: number | null; by: 'eye' | 'strip' };

/** Where the heart rate was recorded: with the reading, or with the test. */
export type RateFrom = 'reading' | 'test';

/**
 * Heart rates an animal on a ward can have, beats per minute. Dog 70 to 160, up to 220 in puppies and toy breeds, cat 90 to
 * 240 (a veterinary information site's table, read); the slowest dog: from memory. Any other: from a horse's 30 to a ferret's 400
 * (the same table; the horse from memory).
 */
function plausibleRates(species: Species): { from: number; to: number } {
  if (species === 'dog') return { from: 60, to: 220 };
  return species === 'cat' ? { from: 90, to: 240 } : { from: 30, to: 400 };
}

/** A damping below this cannot be told from none, and the model needs some. */
const leastDamping = 0.02;

/** The numbers of a test that was measured, on paper or on an upload; null where it was judged by eye, or no frequency seen. */
export function measuredLine({ read, strip }: Pick<Test, 'read' | 'strip'>): MeasuredLine | null {
  if (read && read.naturalHz !== null && read.damping !== null && read.naturalHz > 0) {
    const system = { naturalHz: read.naturalHz, damping: Math.max(leastDamping, read.damping) };
    return { system, measured: null };
  }
  const measured: MeasuredTest | undefined = strip && measuredTest(strip);
  if (measured?.result !== 'measured' || measured.naturalHz === null) return null;
  const system = {
    naturalHz: measured.naturalHz.value,
    damping: Math.max(leastDamping, measured.damping.value),
  };
  return { system, measured };
}

/** The heart rate by which a test is held against a reading: the reading's own, else the test's; null where none was recorded. */
function rateFor(
  test: Pick<Test, 'heartRatePerMin'>,
  reading: Pick<Reading, 'heartRatePerMin'> | null,
): { perMin: number; rateFrom: RateFrom } | null {
  if (reading?.heartRatePerMin !== undefined) return { perMin: reading.heartRatePerMin, rateFrom: 'reading' };
  return test.heartRatePerMin === undefined ? null : { perMin: test.heartRatePerMin, rateFrom: 'test' };
}

/** The heart rate recorded last, beats per minute, by which the latest test is judged; null where none was recorded. */
export function latestRate({ test, reading }: Pick<LineState, 'test' | 'reading'>): number | null {
  const ofReading = reading?.heartRatePerMin ?? null;
  const isReadLast = test === null || (reading !== null && reading.at >= test.at);
  return isReadLast ? (ofReading ?? test?.heartRatePerMin ?? null) : (test.heartRatePerMin ?? ofReading);
}

/** Pressures for which the error of a line is said where none with a pulse was read yet, mmHg. */
const example = { sapMmHg: 120, dapMmHg: 80 } as const;

/** The pressures that a line's error is said of: the last reading's where it has a pulse, else an example. */
export function pressuresShown({
  reading,
}: Pick<LineState, 'reading'>): SystolicDiastolic & { isRead: boolean } {
  const isRead = reading !== null && reading.sapMmHg > reading.dapMmHg;
  return isRead ? { sapMmHg: reading.sapMmHg, dapMmHg: reading.dapMmHg, isRead } : { ...example, isRead };
}

/** What one test says against a reading; `afterwards` where it was made after it. */
function doubtOfTest(
  test: Test,
  reading: Reading,
  species: Species,
  policy: WardPolicy,
  afterwards: boolean,
): ResponseDoubt | null {
  const line = measuredLine(test);
  const rate = rateFor(test, reading);
  if (line !== null) {
    const found = rate
      ? atRate(line, rate, reading, policy, afterwards)
      : withoutRate(line, reading, species, policy);
    if (found !== null) return found;
    // The trace it was read from may be at fault, whatever the numbers.
    return test.verdict === 'cannot tell' ? { doubt: 'damping', verdict: 'cannot tell', afterwards } : null;
  }
  if (test.verdict !== 'normal') return { doubt: 'damping', verdict: test.verdict, afterwards };
  if (rate === null) return { doubt: 'rate not recorded', upToPerMin: policy.byEyeUpToPerMin, by: 'eye' };
  return rate.perMin > policy.byEyeUpToPerMin ? { doubt: 'by eye', ...rate } : null;
}

function atRate(
  line: MeasuredLine,
  rate: { perMin: number; rateFrom: RateFrom },
  reading: Reading,
  policy: WardPolicy,
  afterwards: boolean,
): ResponseDoubt | null {
  const { verdict, error, isEnough } = responseAt(line, rate.perMin, reading, responseLimits(policy));
  if (isEnough) return null;
  const { naturalHz } = line.system;
  const { region, wantedHz } = verdict;
  return { doubt: 'response', region, ...rate, naturalHz, wantedHz, error, afterwards };
}

function withoutRate(
  line: MeasuredLine,
  reading: Reading,
  species: Species,
  policy: WardPolicy,
): ResponseDoubt | null {
  const upToPerMin = enoughUpTo(line, reading, responseLimits(policy), plausibleRates(species));
  return upToPerMin === 'all' ? null : { doubt: 'rate not recorded', upToPerMin, by: 'strip' };
}

/**
 * Why systolic and diastolic of a reading should not be gone by, from the fast-flush tests before and after it; null where
 * they may. `shiftFrom`: from when on a test counts for the reading's shift, ms. What was measured after a reading stands in
 * place of what was judged by eye before it: the line was the same.
 *
 * Underdamped reads the systolic too high, overdamped too low, the mean hardly changes, and a look at the wave is not enough
 * to judge a line: Gardner RM, Anesthesiology 1981;54:227-236.
 */
export function responseDoubt(
  reading: Reading,
  species: Species,
  policy: WardPolicy,
  shiftFrom: number,
): ResponseDoubt | null {
  const { test, testAfter } = reading;
  const isMeasuredAfter = testAfter !== undefined && measuredLine(testAfter) !== null;
  const before = test && doubtOfTest(test, reading, species, policy, false);
  const after = testAfter ? doubtOfTest(testAfter, reading, species, policy, true) : null;
  const doubts = [
    before && !(isMeasuredAfter && isOpen(before)) ? before : null,
    after && !isOpen(after) ? after : null,
  ].filter((doubt) => doubt !== null);
  const [worst] = doubts.toSorted((a, b) => gravity(a) - gravity(b));
  if (worst) return worst;
  if (isMeasuredAfter) return null;
  if (test === null) return { doubt: 'never tested' };
  return test.at < shiftFrom ? { doubt: 'not tested this shift' } : null;
}

/** Left open by the eye: what was measured of the same line settles it. */
function isOpen(doubt: ResponseDoubt): boolean {
  if (doubt.doubt === 'rate not recorded') return doubt.by === 'eye';
  return doubt.doubt === 'by eye' || (doubt.doubt === 'damping' && doubt.verdict === 'cannot tell');
}

/** Of two doubts the one that says by how much, else the one that says which way, is the one to say: the smaller. */
function gravity(doubt: ResponseDoubt): number {
  if (doubt.doubt === 'response') return 0;
  return isOpen(doubt) || doubt.doubt === 'rate not recorded' ? 2 : 1;
}
