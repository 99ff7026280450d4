import type { FaultSign } from '../../domain/fault/fault-questions.ts';
import { answersGiven, nextQuestion } from '../../domain/fault/next-question.ts';
import type { Fault, LineState } from '../../domain/record/line-state.ts';
import { answerSaid } from './fault-question-words.ts';

/** A fault's sign where it stands in a sentence. */
export function signWords(sign: FaultSign): string {
  return sign === 'none' ? 'no trace' : sign;
}

/** `fault flat since 02:10, at tubing`: an open fault and how far its path got. */
export function openFaultWords({ sign, at, steps }: Fault, clock: (atMs: number) => string): string {
  const next = nextQuestion(sign, steps);
  return `fault ${signWords(sign)} since ${clock(at)}, ${next.is === 'ask' ? `at ${next.question.place}` : 'all steps done'}`;
}

/** `fault flat of 02:10: resolved 02:25, bent catheter straightened`, or how it was left. */
export function closedFaultWords(
  { sign, at, closedAt, resolved, steps }: Fault,
  clock: (atMs: number) => string,
): string {
  const how = resolved ? `resolved ${clock(closedAt ?? at)}` : `not resolved ${clock(closedAt ?? at)}`;
  const more = resolved ? rightedWords(sign, steps) : leftWords(sign, steps);
  return `fault ${signWords(sign)} of ${clock(at)}: ${how}${more ? `, ${more}` : ''}`;
}

/** `line fault not resolved: flat, patient looks bad, since 02:20`: what a clinician must hear. */
export function faultLeftWords({ faultLeft }: LineState, clock: (atMs: number) => string): string {
  if (!faultLeft) return 'line fault not resolved';
  const { sign, steps, at } = faultLeft;
  return `line fault not resolved: ${signWords(sign)}, ${leftWords(sign, steps)}, recorded ${clock(at)}`;
}

/** What was put right last; empty where nothing was. */
export function rightedWords(sign: FaultSign, steps: Fault['steps']): string {
  const righted = answersGiven(sign, steps).findLast(({ leads }) => leads === 'fixed');
  return righted ? answerSaid(sign, righted) : '';
}

/** Why a fault was left: what ended its path, where it was stopped, or that the whole path helped nothing. */
function leftWords(sign: Fault['sign'], steps: Fault['steps']): string {
  const end = nextQuestion(sign, steps);
  if (end.is === 'ask') return `stopped at ${end.question.place}`;
  return end.because ? answerSaid(sign, end.because) : 'nothing solved it';
}
