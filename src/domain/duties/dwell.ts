import { dueWithAway } from '../away/away.ts';
import { stillNeededHours } from '../policy/care-intervals.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { hourMs } from '../time.ts';
import { type Duty, duty } from './duty.ts';

/**
 * A cat's dwell warning and limit, from placing (6 h and 8 h: common practice; one feline text gives 24 h at most).
 * A clinician's waiver until an instant moves the limit there; nothing else does. The warning is news, not work: it
 * stands until the limit takes its place or was moved.
 */
export function catDwell(line: LineState, policy: WardPolicy): Duty[] {
  if (line.patient.species !== 'cat') return [];
  const { at, entry } = line.placed;
  const limit = dwellLimit(line, policy);
  if (line.marks.dwellLimit?.waived !== undefined) return [limit];
  const warning = duty(line, 'dwellWarning', 'dwell', at + policy.catDwellWarningH * hourMs, 0, entry);
  return [{ ...warning, expiresAt: limit.dueAt }, limit];
}

/** When a cat's line must be out, ms: at the ward's limit, or where a clinician has moved it to. */
export function dwellLimitAt(line: LineState, policy: WardPolicy): number {
  return dwellLimit(line, policy).dueAt;
}

function dwellLimit(line: LineState, policy: WardPolicy): Duty {
  const { at, entry } = line.placed;
  return duty(line, 'dwellLimit', 'dwell', at + policy.catDwellLimitH * hourMs, 0, entry);
}

/**
 * Dogs and others: "still needed?" every 24 h, sooner for ear lines, rabbits and ferrets, answered by a clinician (common practice). The answer is a waiver until
 * an instant; the next question comes then.
 */
export function stillNeeded(line: LineState, policy: WardPolicy): Duty | null {
  if (line.patient.species === 'cat') return null;
  const { at, entry } = line.placed;
  const everyMs = stillNeededHours(line, policy) * hourMs;
  const dueBy = dueWithAway(line, policy, 'stillNeeded', at + everyMs);
  return duty(line, 'stillNeeded', 'dwell', dueBy, Math.min(4 * hourMs, everyMs / 3), entry);
}
