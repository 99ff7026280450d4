import { answersGiven, nextQuestion } from '../../domain/fault/next-question.ts';
import type { Fault, LineState } from '../../domain/record/line-state.ts';

/** `fault flat since 02:10, at tubing`: an open fault and how far its path got. */
export function openFaultWords({ sign, at, steps }: Fault, clock: (atMs: number) => string): string {
  const next = nextQuestion(sign, steps);
  return `fault ${sign} since ${clock(at)}, ${next.is === 'ask' ? `at ${next.question.place}` : 'path at its end'}`;
}

/** `fault flat of 02:10: resolved 02:25, catheter freed of a bend`, or how it was left. */
export function closedFaultWords(
  { sign, at, closedAt, resolved, steps }: Fault,
  clock: (atMs: number) => string,
): string {
  const found = foundWords(sign, steps);
  const how = resolved ? 'resolved' : 'not resolved';
  return `fault ${sign} of ${clock(at)}: ${how} ${clock(closedAt ?? at)}${found === '' ? '' : `, ${found}`}`;
}

/** `line fault not resolved: flat, patient looks bad by pulse, colour or cuff, told 02:20`: what a clinician must hear. */
export function faultLeftWords({ faultLeft }: LineState, clock: (atMs: number) => string): string {
  if (!faultLeft) return 'line fault not resolved';
  const { sign, steps, at } = faultLeft;
  const found = foundWords(sign, steps);
  return `line fault not resolved: ${sign}${found === '' ? '' : `, ${found}`}, told ${clock(at)}`;
}

/** What ended the path or was put right last; empty where nothing was. */
function foundWords(sign: Fault['sign'], steps: Fault['steps']): string {
  const found = answersGiven(sign, steps).findLast(({ answer }) => answer.leads !== 'next');
  return found?.answer.told ?? '';
}
