import type { WardPolicy } from '../policy/ward-policy.ts';
import type { Fault, LineState } from '../record/line-state.ts';
import { minuteMs } from '../time.ts';
import { type Duty, duty } from './duty.ts';

/**
 * A fault that somebody began to look for and left: asked after `faultAskMin` from when its latest step was recorded, until its
 * path is gone on with or it is closed, resolved or not. Of several the one that waits longest. Common practice, no source.
 */
export function faultHalfWay(line: LineState, policy: WardPolicy): Duty | null {
  const fault = faultWaiting(line);
  if (!fault) return null;
  const { told, entry } = fault.latest;
  return duty(line, 'faultOpen', 'fault open', told + policy.faultAskMin * minuteMs, 0, entry);
}

/** The open fault that waits longest to be gone on with; undefined where none is open. */
export function faultWaiting({ faults }: Pick<LineState, 'faults'>): Fault | undefined {
  return faults
    .filter(({ closedAt }) => closedAt === null)
    .toSorted((a, b) => a.latest.told - b.latest.told)[0];
}
