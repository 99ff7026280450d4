import { dutyKinds } from '../duty-kind.ts';
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
import { redress } from './redress.ts';
import { siteCheck } from './site-check.ts';
import { zeroAndLevel } from './zero-and-level.ts';

/**
 * The open duties of one line at `now`: of each kind the first that is not done, past due or still to come, earliest
 * first. A function of state, ward policy (with its shift calendar) and now. A line registered in error has none.
 */
export function dutiesOfLine(line: LineState, policy: WardPolicy, now: number): Duty[] {
  if (line.inError) return [];
  let known = dutiesKnown.get(line);
  if (known?.policy !== policy) {
    known = { policy, duties: dutiesUnder(line, policy) };
    dutiesKnown.set(line, known);
  }
  return known.duties.filter(({ expiresAt }) => now < (expiresAt ?? Number.POSITIVE_INFINITY));
}

/**
 * What was worked out for a state of a line: one look at a ward asks for it several times. A state and a policy are replaced,
 * never changed, so callers cannot tell.
 */
const dutiesKnown = new WeakMap<LineState, { policy: WardPolicy; duties: readonly Duty[] }>();

function dutiesUnder(line: LineState, policy: WardPolicy): readonly Duty[] {
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
  return open
    .filter((duty) => duty !== null)
    .sort((a, b) => a.dueAt - b.dueAt || dutyKinds.indexOf(a.kind) - dutyKinds.indexOf(b.kind));
}

/** How long a removal can be put right from the ward's list after it was recorded, ms. */
const removalAmendableMs = 24 * hourMs;

/** A line that is out and to whose limb nothing is owed: nobody is reminded of it, and a handover leaves it out. */
export function owesNothing(line: LineState, policy: WardPolicy, now: number): boolean {
  return (line.removed ?? line.inError) !== null && dutiesOfLine(line, policy, now).length === 0;
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
