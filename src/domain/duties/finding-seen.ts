import type { WardPolicy } from '../policy/ward-policy.ts';
import { beyondLimits } from '../reading/beyond-limits.ts';
import { isAlarming, isLimbAlarming, type Telling } from '../record/entry.ts';
import type { LineState, Reading } from '../record/line-state.ts';
import { isFollowedUp } from './after-removal.ts';
import { type Duty, duty } from './duty.ts';

/**
 * Whether a clinician must hear of a telling at once, whatever the ladder says: a finding at the site or below it, a
 * pressure beyond the ward's limits.
 */
export function isForClinicianAtOnce(telling: Telling, policy: WardPolicy): boolean {
  if (telling.kind === 'reading') return beyondLimits(telling.body, policy).length > 0;
  if (telling.kind === 'pulseChecked') return isLimbAlarming(telling.body);
  return 'finding' in telling.body && telling.body.finding !== undefined && isAlarming(telling.body.finding);
}

/**
 * An alarming finding at the site or below it, or a pressure beyond the ward's limits, from the moment it was told: the
 * clinician's to look at. It is owed until
 * somebody looks or reads again and finds nothing amiss, or a clinician lets it go with a reason and an end; a worse or newer
 * finding is told anew. Signs as in human guidance on limb ischaemia after arterial cannulation; that a clinician must
 * hear at once is common practice, no source.
 */
export function findingSeen(line: LineState, policy: WardPolicy): Duty | null {
  if (line.removed && !isFollowedUp(line)) return null;
  const pressure = pressureBeyond(line, policy);
  const latest = [line.finding, pressure]
    .filter((one) => one !== null)
    .toSorted((a, b) => b.told - a.told)[0];
  return latest ? duty(line, 'finding', 'finding', latest.told, 0, latest.entry) : null;
}

/** The latest reading, where it lies beyond the ward's limits and the line is in. */
export function pressureBeyond({ reading, removed }: LineState, policy: WardPolicy): Reading | null {
  return reading && !removed && beyondLimits(reading, policy).length > 0 ? reading : null;
}
