import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { hourMs } from '../time.ts';
import { holdPressure, pulseChecks } from './after-removal.ts';
import type { Duty } from './duty.ts';
import { catDwell, stillNeeded } from './dwell.ts';
import { fastFlushTest } from './fast-flush-test.ts';
import { faultHalfWay } from './fault-half-way.ts';
import { faultLeft } from './fault-left.ts';
import { findingSeen } from './finding-seen.ts';
import { sourceCheck, sourceRunOut, transducerSet } from './flush-source.ts';
import { manualFlush } from './manual-flush.ts';
import { perState } from './per-state.ts';
import { redress } from './redress.ts';
import { siteCheck } from './site-check.ts';
import { zeroAndLevel } from './zero-and-level.ts';

/**
 * The open duties of one line at `now`: of each kind the first that is not done, past due or still to come, earliest
 * first. A function of state, ward policy (with its shift calendar) and now. A line registered in error has none.
 */
export function dutiesOfLine(line: LineState, policy: WardPolicy, now: number): readonly Duty[] {
  const { duties, firstEndAt } = dutiesKnown(line, policy);
  return now < firstEndAt ? duties : duties.filter((duty) => isOwedAt(duty, now));
}

/** Whether a duty is owed still at `now` (ms), done or not. */
export function isOwedAt({ expiresAt }: Pick<Duty, 'expiresAt'>, now: number): boolean {
  return expiresAt === undefined || now < expiresAt;
}

/** The same, also those whose time is over: whatever the time, since nothing but that depends on it. */
export function everyDuty(line: LineState, policy: WardPolicy): readonly Duty[] {
  return dutiesKnown(line, policy).duties;
}

/** From when on the first of a line's duties is owed no more, ms; infinite where each is owed until it is done. */
export function firstEndAt(line: LineState, policy: WardPolicy): number {
  return dutiesKnown(line, policy).firstEndAt;
}

const dutiesKnown = perState((line, policy) => {
  const duties = dutiesUnder(line, policy);
  return {
    duties,
    firstEndAt: Math.min(...duties.map(({ expiresAt }) => expiresAt ?? Number.POSITIVE_INFINITY)),
  };
});

function dutiesUnder(line: LineState, policy: WardPolicy): readonly Duty[] {
  if (line.inError) return [];
  const open = line.removed
    ? [findingSeen(line, policy), holdPressure(line, policy), ...pulseChecks(line, policy)]
    : [
        findingSeen(line, policy),
        faultLeft(line),
        faultHalfWay(line, policy),
        ...catDwell(line, policy),
        manualFlush(line, policy),
        sourceRunOut(line, policy),
        zeroAndLevel(line, policy),
        fastFlushTest(line, policy),
        sourceCheck(line, policy),
        siteCheck(line, policy),
        redress(line, policy),
        stillNeeded(line, policy),
        transducerSet(line, policy),
      ];
  // Of one minute in the order above: a sort keeps it.
  return open.filter((duty) => duty !== null).sort((a, b) => a.dueAt - b.dueAt);
}

/** How long a removal can be put right from the ward's list after it was recorded, ms. */
const removalAmendableMs = 24 * hourMs;

/** A line that is out and to whose limb nothing is owed: nobody is reminded of it, and a handover leaves it out. */
export function owesNothing(line: LineState, policy: WardPolicy, now: number): boolean {
  return dutiesOfLine(line, policy, now).length === 0;
}

/** The lines that are in or whose limb is followed up: those a ward hands over and is reminded of. */
export function owedLines(lines: readonly LineState[], policy: WardPolicy, now: number): LineState[] {
  return lines.filter((line) => !owesNothing(line, policy, now));
}

/** The first instant at which a line that is out may be closed, ms; null for one that is in. */
export function mayCloseAt({ removed }: LineState): number | null {
  return removed && removed.told + removalAmendableMs;
}

/**
 * A closed line leaves the ward's list. One recorded as out for the wrong patient must be found again, whatever was recorded to be
 * the reason: a line stays on the list for a day after its removal was recorded. One registered in error leaves it at once.
 */
export function isClosed(line: LineState, policy: WardPolicy, now: number): boolean {
  if (line.inError) return true;
  return now >= (mayCloseAt(line) ?? Number.POSITIVE_INFINITY) && owesNothing(line, policy, now);
}
