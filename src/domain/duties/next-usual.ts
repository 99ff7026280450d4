import type { DutyKind } from '../duty-kind.ts';
import { siteCheckHours, stillNeededHours } from '../policy/care-intervals.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { nextShiftStart } from '../shifts/shift-calendar.ts';
import { hourMs, minuteMs } from '../time.ts';

/** When a duty that is let go now would usually come again, ms since the epoch: what a clinician's form offers first. */
export function nextUsual(line: LineState, policy: WardPolicy, kind: DutyKind, now: number): number {
  switch (kind) {
    case 'flush':
      return now + policy.flushEveryMin * minuteMs;
    case 'zero':
    case 'test':
    case 'source':
      return nextShiftStart(policy.shifts, now);
    case 'finding':
    case 'fault':
      return now + 2 * hourMs;
    case 'faultOpen':
      return now + policy.faultAskMin * minuteMs;
    case 'site':
      return now + siteCheckHours(line, policy) * hourMs;
    case 'redress':
      return now + policy.redressEveryH * hourMs;
    case 'stillNeeded':
      return now + stillNeededHours(line, policy) * hourMs;
    case 'dwellLimit':
    case 'dwellWarning':
      return Math.max(now, line.placed.at + policy.catDwellLimitH * hourMs) + 2 * hourMs;
    case 'runOut':
      return now + hourMs;
    case 'set':
      return now + 24 * hourMs;
    case 'hold':
      return now + policy.holdMin * minuteMs;
    case 'pulse':
      return now + policy.pulseFirstH * hourMs;
    case 'pulseNextDay':
      return now + policy.pulseNextDayH * hourMs;
  }
}
