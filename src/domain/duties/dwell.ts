import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { type Duty, duty, hourMs } from './duty.ts';

/**
 * A cat's dwell warning and limit, from placing (6 h and 8 h: common practice; one feline text gives 24 h at most).
 * A clinician's waiver until an instant moves the limit there; nothing else does. The warning is news, not work: it
 * stands until the limit takes its place or was moved.
 */
export function catDwell(line: LineState, policy: WardPolicy): Duty[] {
  if (line.patient.species !== 'cat') return [];
  const warningAt = line.placed.at + policy.catDwellWarningH * hourMs;
  const limit = duty(line, 'dwellLimit', 'dwell', line.placed.at + policy.catDwellLimitH * hourMs);
  if (line.marks.dwellLimit?.waived !== undefined) return [limit];
  return [{ ...duty(line, 'dwellWarning', 'dwell', warningAt), expiresAt: limit.dueAt }, limit];
}

/**
 * Dogs and others: "still needed?" every 24 h, answered by a clinician (common practice). The answer is a waiver until
 * an instant; the next question comes then.
 */
export function stillNeeded(line: LineState, policy: WardPolicy): Duty | null {
  if (line.patient.species === 'cat') return null;
  return duty(line, 'stillNeeded', 'dwell', line.placed.at + policy.stillNeededEveryH * hourMs, 4 * hourMs);
}
