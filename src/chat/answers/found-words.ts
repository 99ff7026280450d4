import type { DraftResult } from '../../app/decide-drafts.ts';
import { flushFluid } from '../../domain/fluid/flush-fluid.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import { beyondAt } from '../../domain/reading/beyond-limits.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { doubtsOfReading } from '../../domain/trust/doubts-of-reading.ts';
import { afterSampleWords } from '../../wording/care/blood-words.ts';
import { fluidWords } from '../../wording/care/fluid-words.ts';
import { heparinCautionWords, muchHeparinWords } from '../../wording/care/heparin-words.ts';
import { levelFoundWords } from '../../wording/care/level-words.ts';
import { clockText } from '../../wording/care/line-words.ts';
import { readingFoundWords } from '../../wording/care/reading-words.ts';
import { testFoundWords } from '../../wording/care/test-words.ts';
import { rich } from '../../wording/rich-text.ts';

/** What was recorded of one line, in one go. */
export type Taken = readonly (DraftResult & { is: 'taken' })[];

/** What was found by what was just recorded: what it makes of the line and of its numbers. */
export function foundWords(line: LineState, policy: WardPolicy, taken: Taken, now: number): string[] {
  const clock = (atMs: number) => clockText(policy, atMs, now);
  const kinds = taken.map(({ draft }) => draft.kind);
  return [
    ...(kinds.includes('zeroed') ? [driftWords(line, policy, clock)] : []),
    ...(kinds.includes('levelled') ? [levelFoundWords(line, clock)] : []),
    ...(taken.some(({ draft }) => draft.kind === 'disturbed' && (draft.body.bloodLostMl ?? 0) > 0)
      ? [afterSampleWords(line, policy, now)]
      : []),
    ...(kinds.includes('sampled') ? [afterSampleWords(line, policy, now)] : []),
    ...(kinds.includes('reading') ? [readingWords(line, policy, taken, clock)] : []),
    ...(kinds.includes('fastFlushTested') && isLatest(line.test, taken)
      ? [testFoundWords(line, policy), doubtedSinceWords(line, policy, clock)]
      : []),
    ...flushFoundWords(line, policy, kinds, now),
    byHandStillWords(line, policy, taken),
  ].filter((words) => words !== '');
}

/** How far the zero was found off, where that is beyond the ward's limit: what was read before is marked. */
function driftWords(line: LineState, policy: WardPolicy, clock: (atMs: number) => string): string {
  const { openToAir, last, reading } = line;
  if (!openToAir || openToAir.at !== last.zeroed?.at) return '';
  const off = openToAir.mmHg;
  if (Math.abs(off) <= policy.driftLimitMmHg) return '';
  const marked =
    reading && reading.zeroAfter?.at === openToAir.at
      ? ` The reading of ${clock(reading.at)}, ${reading.sapMmHg}/${reading.dapMmHg} mmHg, is marked doubtful.`
      : '';
  return `The zero was ${Math.abs(off)} mmHg off, more than the ward’s ${policy.driftLimitMmHg}: pressures since the previous zero read about that much too ${off > 0 ? 'high' : 'low'}.${marked}`;
}

/** The reading that the test just recorded makes doubtful, where it does. */
function doubtedSinceWords(line: LineState, policy: WardPolicy, clock: (atMs: number) => string): string {
  const { reading, test } = line;
  if (!reading?.testAfter || reading.testAfter.at !== test?.at) return '';
  const isDoubted = doubtsOfReading(line, policy).some((one) => 'afterwards' in one && one.afterwards);
  if (!isDoubted) return '';
  return `The reading of ${clock(reading.at)}, ${reading.sapMmHg}/${reading.dapMmHg} mmHg, is marked doubtful.`;
}

/** Whether what was recorded is the latest of its kind; of an earlier time it is not what the state shows. */
function isLatest(latest: { at: number } | null, taken: Taken): boolean {
  return taken.some(({ entry }) => entry.kind === 'amended' || entry.at === latest?.at);
}

function readingWords(
  line: LineState,
  policy: WardPolicy,
  taken: Taken,
  clock: (atMs: number) => string,
): string {
  const { reading } = line;
  if (isLatest(reading, taken)) return readingFoundWords(line, policy);
  const results = taken.flatMap(({ draft, entry }) =>
    draft.kind === 'reading' ? [{ ...draft.body, at: entry.at }] : [],
  )[0];
  const stands = reading ? `The later reading of ${clock(reading.at)} stands.` : '';
  return results && beyondAt(results, results.at, line, policy).length > 0
    ? `${stands} What you recorded is beyond the limits, but nobody is called about a past reading: if it’s still like that, call the clinician.`
    : stands;
}

/** Drafts that change what flushing gives. */
const setsFlush: ReadonlySet<string> = new Set(['flushModeChanged', 'sourceChanged']);

/**
 * What flushing gives, where that was changed or is much; what speaks against heparin, at each change; and what too much of
 * it can do.
 */
function flushFoundWords(
  line: LineState,
  policy: WardPolicy,
  kinds: readonly string[],
  now: number,
): string[] {
  const isSet = kinds.some((kind) => setsFlush.has(kind));
  const { isMuchFluid, isMuchHeparin } = flushFluid(line, policy, now);
  const isMuch = kinds.includes('flushed') && (isMuchFluid || isMuchHeparin);
  if (!isSet && !isMuch) return [];
  const gives = fluidWords(line, policy, now);
  const cautions = [isSet ? heparinCautionWords(line) : '', muchHeparinWords(line, policy, now)];
  return [
    ...cautions.filter((words) => words !== '').map((words) => rich`*${words}.*`),
    ...(gives === '' ? [] : [`Flushing gives ${gives}.`]),
  ];
}

/** A rate recorded with a new source reads as if it ran by itself: what is flushed by hand is asked for by hand until a change is recorded. */
function byHandStillWords(
  { flushMode, patient }: LineState,
  { flushEveryMin }: WardPolicy,
  taken: Taken,
): string {
  const source = taken.flatMap(({ draft }) => (draft.kind === 'sourceChanged' ? [draft.body.source] : []))[0];
  if (flushMode !== 'manual' || source?.rateMlPerH === undefined) return '';
  const kind = source.kind === 'syringe' ? 'syringe' : 'bag';
  const volume = source.volumeMl === undefined ? '' : ` ${source.volumeMl} mL`;
  return `The line still counts as flushed by hand, every ${flushEveryMin} min. If it runs at that rate by itself now, type /artline source ${patient.name} continuous ${kind}${volume} ${source.rateMlPerH} mL/h.`;
}
