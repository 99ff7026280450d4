import { nextQuestion, signOfStep } from '../fault/next-question.ts';
import { openFault } from '../fold/fold-faults.ts';
import type { DraftOf, EntryHead } from '../record/entry.ts';
import type { LineState } from '../record/line-state.ts';
import { minuteMs } from '../time.ts';
import type { Verdict } from './accept.ts';

/** What is pressed again within this because the record was slow to answer is the first press, and stands. */
export const pressedAgainMs = 2 * minuteMs;

/** A step is taken when it answers what its fault asks now; the same answer once more is the one that stands. */
export function checkStep(line: LineState, { step, answer }: DraftOf<'faultStep'>['body']): Verdict | null {
  const fault = openFault(line, signOfStep(step));
  if (!fault) return { refuse: { because: 'no open fault' } };
  const asked = nextQuestion(fault.sign, fault.steps);
  if (asked.is === 'ask' && asked.step === step && asked.answers.includes(answer)) return null;
  const stands = fault.steps.some((one) => one.step === step && one.answer === answer);
  return stands && line.last.faultStep
    ? { already: line.last.faultStep }
    : { refuse: { because: 'step not asked' } };
}

/** Closing asks for an open fault; by the path's own end, for one whose path has ended so. */
export function checkClosing(
  line: LineState,
  { resolved, sign, byPath }: DraftOf<'faultClosed'>['body'],
  { by, told }: EntryHead,
): Verdict | null {
  const open = line.faults.filter((fault) => fault.closedAt === null && (sign ?? fault.sign) === fault.sign);
  if (open.length === 0) {
    const last = line.faults.findLast((fault) => (sign ?? fault.sign) === fault.sign);
    const closed = line.last.faultClosed;
    const isAgain = closed?.by === by && told - closed.at <= pressedAgainMs && last?.resolved === resolved;
    return isAgain ? { already: closed } : { refuse: { because: 'no open fault' } };
  }
  if (!byPath) return null;
  const hasEnded = open.some((fault) => {
    const end = nextQuestion(fault.sign, fault.steps);
    return end.is === 'end' && end.resolved === resolved;
  });
  return hasEnded ? null : { refuse: { because: 'step not asked' } };
}
