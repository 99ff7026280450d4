import { signOfStep } from '../fault/next-question.ts';
import { type CauseOf, sooner } from '../record/causes.ts';
import type { EntryOf } from '../record/entry.ts';
import type { Done, Fault, LineState } from '../record/line-state.ts';

/** Closed faults that are remembered in the state; all are in the log. */
const faultsKept = 5;

/** The fault of this sign that is open; undefined where there is none. */
export function openFault(
  { faults }: Pick<LineState, 'faults'>,
  sign: string | undefined,
): Fault | undefined {
  return faults.findLast((fault) => fault.closedAt === null && fault.sign === sign);
}

/** What changes when a fault is recorded. */
export function faultOpenedNow(
  before: LineState,
  { at, told, body }: EntryOf<'faultOpened'>,
  done: Done,
): Partial<LineState> {
  const fault: Fault = {
    ...done,
    sign: body.sign,
    steps: [],
    latest: { told: Math.max(at, told), entry: done.entry },
    closedAt: null,
    resolved: false,
  };
  return {
    faults: [...before.faults, fault].filter(
      ({ closedAt }, index, { length }) => closedAt === null || index >= length - faultsKept,
    ),
  };
}

/** What an answer on a fault's path changes. */
export function faultStepNow(
  before: LineState,
  { at, told, body }: EntryOf<'faultStep'>,
  number: number,
): Partial<LineState> {
  const current = openFault(before, signOfStep(body.step));
  if (!current) return {};
  const latest = { told: Math.max(at, told), entry: number };
  return {
    faults: before.faults.map((fault) =>
      fault === current ? { ...fault, steps: [...fault.steps, body], latest } : fault,
    ),
  };
}

/** What changes when faults are closed: a zero and a test are asked for, and what was left is the clinician's. */
export function faultClosedNow(
  before: LineState,
  { at, told, body }: EntryOf<'faultClosed'>,
  done: Done,
  causeOf: CauseOf,
): Partial<LineState> {
  const { resolved, sign } = body;
  const isMeant = (one: string) => (sign ?? one) === one;
  const closing = before.faults.filter((fault) => fault.closedAt === null && isMeant(fault.sign));
  const left = closing.at(-1);
  const knownSince = Math.max(at, told);
  const cause = causeOf('fault closed');
  return {
    faults: before.faults.map((fault) =>
      closing.includes(fault) ? { ...fault, closedAt: at, resolved } : fault,
    ),
    ...(resolved && before.faultLeft && isMeant(before.faultLeft.sign)
      ? { faultLeft: null, faultLeftResolved: { ...done, told: knownSince } }
      : {}),
    ...(!resolved && left
      ? { faultLeft: { ...done, told: knownSince, sign: left.sign, steps: left.steps } }
      : {}),
    zeroCause: sooner(before.zeroCause, cause),
    testCause: sooner(before.testCause, cause),
  };
}
