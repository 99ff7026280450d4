import { type EntryOf, isLimbAlarming } from '../record/entry.ts';

type Felt = EntryOf<'pulseChecked'>['body'];

/** A check this soon after removal may yet find the pulse weak without anything being amiss, ms. */
const soonMs = 6 * 3_600_000;

/**
 * Whether a clinician must hear at once of what a pulse check after removal found. `before`: what the check before it
 * found; null for the first. `sinceRemovalMs`: how long after removal it was.
 *
 * Absent or cold, always. Weak, or one that nobody could tell, is news unless it is the first check and within 6 h: an
 * artery that held a catheter may be in spasm in its first hours and its pulse be weak under a bandage, and a clinician
 * called for each of those stops listening. What is not present at a later check has not come back, or has got worse.
 * That a pulse is lost often is published (21 of 94 animals the next day: JVECC 2017;27:89-95); whom to tell of a weak one,
 * and 6 h, are common practice, no source.
 */
export function isLimbNews(felt: Felt, before: Felt | null, sinceRemovalMs: number): boolean {
  if (isLimbAlarming(felt)) return true;
  return felt.pulse !== 'present' && (before !== null || sinceRemovalMs > soonMs);
}
