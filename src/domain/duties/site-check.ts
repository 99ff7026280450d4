import { siteCheckHours } from '../policy/care-intervals.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { hourMs } from '../time.ts';
import { type Duty, duty, firstDue } from './duty.ts';

/**
 * Site and limb check: every 4 h, every 2 h in cats, tail and ear, and with every redress (common practice; at least twice daily for veins in DiBartola,
 * Fluid, Electrolyte, and Acid-Base Disorders, p. 373). A redress that recorded what was seen is a check.
 */
export function siteCheck(line: LineState, policy: WardPolicy): Duty {
  const { siteCause, siteSeen } = line;
  const afterRedress = siteCause && duty(line, 'site', siteCause.why, siteCause.at, 0, siteCause.entry);
  const everyMs = siteCheckHours(line, policy) * hourMs;
  return firstDue(
    afterRedress,
    duty(line, 'site', 'interval', siteSeen.at + everyMs, everyMs / 4, siteSeen.entry),
  );
}
