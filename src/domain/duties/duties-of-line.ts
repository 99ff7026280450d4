import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { holdPressure, pulseChecks } from './after-removal.ts';
import type { Duty } from './duty.ts';
import { dutyKinds } from './duty-kind.ts';
import { catDwell, stillNeeded } from './dwell.ts';
import { fastFlushTest } from './fast-flush-test.ts';
import { sourceCheck, sourceRunOut, transducerSet } from './flush-source.ts';
import { manualFlush } from './manual-flush.ts';
import { redress } from './redress.ts';
import { siteCheck } from './site-check.ts';
import { zeroAndLevel } from './zero-and-level.ts';

/**
 * The open duties of one line at `now`: of each kind the first that is not done, past due or still to come, earliest
 * first. A function of state, ward policy (with its shift calendar) and now.
 */
export function dutiesOfLine(line: LineState, policy: WardPolicy, now: number): Duty[] {
  const open = line.removed
    ? [holdPressure(line, policy), ...pulseChecks(line, policy)]
    : [
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
    .filter((duty): duty is Duty => duty !== null && now < (duty.expiresAt ?? Number.POSITIVE_INFINITY))
    .sort((a, b) => a.dueAt - b.dueAt || dutyKinds.indexOf(a.kind) - dutyKinds.indexOf(b.kind));
}

/** A line is closed when it is out and nothing is owed to the limb: it leaves the ward's list. */
export function isClosed(line: LineState, policy: WardPolicy, now: number): boolean {
  return line.removed !== null && dutiesOfLine(line, policy, now).length === 0;
}
