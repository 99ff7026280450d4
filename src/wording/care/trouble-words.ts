import { isClinicians } from '../../domain/duty-kind.ts';
import type { FaultSign } from '../../domain/fault/fault-questions.ts';
import { nextQuestion } from '../../domain/fault/next-question.ts';
import type { Trouble } from '../../domain/handover/trouble.ts';
import { reckonedMeanMmHg } from '../../domain/reading/plausibility.ts';
import { isAlarming } from '../../domain/record/entry.ts';
import type { Fault, LineState } from '../../domain/record/line-state.ts';
import { answerSaid } from '../faults/fault-question-words.ts';
import { rightedWords } from '../faults/fault-words.ts';
import { shorten } from '../shorten.ts';
import { actName } from './act-words.ts';
import { letGoWords } from './duty-words.ts';
import { findingWords, limbWords } from './finding-words.ts';
import { spanText } from './line-words.ts';
import { targetText } from './target-words.ts';

/** Longest reason of somebody's that *Watch* repeats. */
const reasonMax = 40;

/** What a trace with this fault looks like, for the middle of a sentence. */
export function traceWords(sign: FaultSign): string {
  switch (sign) {
    case 'flat':
      return 'flat trace';
    case 'spiky':
      return 'spiky trace';
    case 'none':
      return 'no trace';
    case 'drifting':
      return 'drifting numbers';
    case 'blocked':
      return 'blocked line';
  }
}

/**
 * One trouble in as few words as say what, when and what since: `cold hind foot 16:20, gone since 16:50`, `flush 55 min late
 * 13:05, on time since`. Rich text, nothing bold.
 */
export function troubleWords(trouble: Trouble, line: LineState, clock: (atMs: number) => string): string {
  switch (trouble.what) {
    case 'finding': {
      const { site, limb, at, clearAt } = trouble;
      const seen = [
        ...(isAlarming(site) ? [findingWords(site, line.site)] : []),
        ...(limb ? [limbWords(limb, line.site)] : []),
      ];
      return `${seen.join(', ')} ${clock(at)}, ${clearAt === null ? 'still there' : `gone since ${clock(clearAt)}`}`;
    }
    case 'piece missing':
      return `catheter tip not whole, piece not found (${clock(trouble.at)})`;
    case 'pressure':
      return pressureWords(trouble, clock);
    case 'fault': {
      const more = trouble.others === 0 ? '' : ` (${trouble.others + 1} faults)`;
      return `${faultWords(trouble.fault, clock)}${more}`;
    }
    case 'late':
      return lateWords(trouble, line, clock);
    case 'hold late':
      return `${line.removed ? `out ${clock(line.removed.at)}, ` : ''}${actName('hold', line)} overdue since ${clock(trouble.dueAt)}`;
    case 'dwell':
      return `dwell limit ${trouble.hasPassed ? 'passed ' : ''}${clock(trouble.limitAt)}`;
    case 'lost':
      return `line came out ${clock(trouble.at)}: ${trouble.reason}`;
    case 'blood': {
      const spilt = trouble.spiltMl > 0 ? [`bled about ${Math.round(trouble.spiltMl)} mL`] : [];
      const much = trouble.isMuch ? [`${Math.round(trouble.percent)} % of its blood taken in 24 h`] : [];
      return [...spilt, ...much].join(', ');
    }
    case 'waiver ends': {
      const { kind, waived } = trouble;
      if (isClinicians(kind) || kind === 'dwellLimit')
        return `${letGoWords(kind)}, asked again ${clock(waived.until)} (${shortReason(waived.reason)})`;
      return `${actName(kind)} let go until ${clock(waived.until)} (${shortReason(waived.reason)})`;
    }
    case 'targets end':
      return `targets (${targetText(trouble.targets).replace(/ mmHg$/, '')}) end ${clock(trouble.targets.until)}`;
    case 'caution':
      return trouble.cautions.join(', ');
  }
}

function shortReason(reason: string): string {
  return `“${shorten(reason, reasonMax)}”`;
}

function pressureWords(
  { at, beyond, times, within }: Trouble & { what: 'pressure' },
  clock: (atMs: number) => string,
): string {
  const [first] = beyond;
  if (!first) return '';
  const limit = `${first.by === 'ward' ? 'limit' : 'target'} ${first.limitMmHg}`;
  const often = times > 1 ? `, ${times} times` : '';
  const since =
    within === null
      ? ', not read within limits since'
      : `; ${within.sapMmHg}/${within.dapMmHg} (${meanOf(within)}) ${clock(within.at)}`;
  return `${first.what} ${first.mmHg} (${limit}) ${clock(at)}${often}${since}`;
}

/** The mean as it was recorded, or as it is reckoned from the other two, mmHg. */
export function meanOf(reading: NonNullable<LineState['reading']>): number {
  return Math.round(reading.mapMmHg ?? reckonedMeanMmHg(reading));
}

function faultWords({ sign, at, closedAt, resolved, steps }: Fault, clock: (atMs: number) => string): string {
  const since = `${traceWords(sign)} ${clock(at)}`;
  const next = nextQuestion(sign, steps);
  if (closedAt === null) {
    if (steps.length === 0) return `${since}, not looked into yet`;
    return `${since}, still open${next.is === 'ask' ? `; next: ${next.question.place}` : ''}`;
  }
  if (!resolved) {
    const why = next.is === 'end' && next.because ? answerSaid(sign, next.because) : '';
    return `${since}, not solved${why === '' ? '' : `: ${why}`}`;
  }
  const righted = rightedWords(sign, steps);
  return `${since}, solved ${clock(closedAt)}${righted ? `: ${righted}` : ''}`;
}

function lateWords(
  { kind, dueAt, doneAt, isOpen, lateByMs, times, onTimeSince, cannot }: Trouble & { what: 'late' },
  line: LineState,
  clock: (atMs: number) => string,
): string {
  const name = actName(kind, line);
  if (isOpen) {
    const why = cannot === null ? '' : ` (${shortReason(cannot)})`;
    return `${name} overdue since ${clock(dueAt)}${why}`;
  }
  if (doneAt === null) return `${name} due ${clock(dueAt)} was never done`;
  const since = onTimeSince > 0 ? ', on time since' : '';
  if (times === 1) return `${name} ${spanText(lateByMs)} late, done ${clock(doneAt)}${since}`;
  return `${name} late ${times} times, up to ${spanText(lateByMs)} (${clock(doneAt)})${since}`;
}
