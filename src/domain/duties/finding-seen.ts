import { isAlarming, isLimbAlarming, type Telling } from '../record/entry.ts';
import type { LineState } from '../record/line-state.ts';
import { type Duty, duty } from './duty.ts';

/** Whether a clinician must hear of a telling at once, whatever the ladder says: a finding at the site or below it. */
export function isForClinicianAtOnce(telling: Telling): boolean {
  if (telling.kind === 'pulseChecked') return isLimbAlarming(telling.body);
  return 'finding' in telling.body && telling.body.finding !== undefined && isAlarming(telling.body.finding);
}

/**
 * An alarming finding at the site or below it, from the moment it was told: the clinician's to look at. It is owed until
 * somebody looks again and finds nothing amiss, or a clinician lets it go with a reason and an end; a worse or newer
 * finding is told anew. Signs as in human guidance on limb ischaemia after arterial cannulation; that a clinician must
 * hear at once is common practice, no source.
 */
export function findingSeen(line: LineState): Duty | null {
  if (line.finding === null) return null;
  const { told, entry } = line.finding;
  return duty(line, 'finding', 'finding', told, 0, entry);
}
