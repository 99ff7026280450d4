import type { WardPolicy } from '../policy/ward-policy.ts';
import { beyondAt } from '../reading/beyond-limits.ts';
import { type EntryDraft, isAlarming, isLimbAlarming } from '../record/entry.ts';
import type { LineState, Reading } from '../record/line-state.ts';
import { hourMs } from '../time.ts';
import { hasDied, isFollowedUp, pulseChecks } from './after-removal.ts';
import { type Duty, duty } from './duty.ts';

/**
 * Whether a clinician must hear of a draft entry at once, whatever the ladder says: a finding at the site or below it, a
 * pressure beyond the line's targets or the ward's limits. `atMs`: when it was.
 */
export function isForClinicianAtOnce(
  draft: EntryDraft,
  atMs: number,
  line: Pick<LineState, 'targets'>,
  policy: WardPolicy,
): boolean {
  if (draft.kind === 'reading') return beyondAt(draft.body, atMs, line, policy).length > 0;
  if (draft.kind === 'pulseChecked') return isLimbAlarming(draft.body);
  if (draft.kind === 'removed' && draft.body.tipWhole === false && !draft.body.pieceFound) return true;
  return 'finding' in draft.body && draft.body.finding !== undefined && isAlarming(draft.body.finding);
}

/**
 * An alarming finding at the site or below it, a catheter that came out not whole, or a pressure beyond the line's targets or the ward's limits,
 * from the moment it was recorded: the clinician's to look at. It is owed until somebody looks or reads again and finds nothing
 * amiss (the missing piece was found), or a clinician lets it go with a reason and an end; a worse or newer finding is told
 * anew. Where nothing else was found, what is decided of a missing piece ends it when the limb is followed up before the
 * decision's end; an ask that is open is the clinician's to answer, whatever pulse is felt meanwhile. Of a patient that was
 * transferred what was found at the removal or after is owed for a day. Signs as in human guidance on limb ischaemia after arterial cannulation; that a clinician must hear at once is common practice, no source.
 */
export function findingSeen(line: LineState, policy: WardPolicy): Duty | null {
  const { removed, finding, tipMissing } = line;
  if (hasDied(line)) return null;
  const hasLeft = removed !== null && !isFollowedUp(line);
  const seen = hasLeft && finding && finding.told < removed.told ? null : finding;
  const latest = [seen, tipMissing, pressureBeyond(line, policy)]
    .filter((one) => one !== null)
    .toSorted((a, b) => b.told - a.told)[0];
  if (!latest) return null;
  const look = duty(line, 'finding', 'finding', latest.told, 0, latest.entry);
  if (hasLeft) return { ...look, expiresAt: latest.told + 24 * hourMs };
  // A piece that is left where it is would be asked about for ever: with the limb followed up, the decision is the last word.
  const isDecided = look.armedBy !== latest.entry;
  const isLastWord = !seen && isDecided && isFollowedUpBy(line, policy, look.dueAt);
  return isLastWord ? { ...look, expiresAt: look.dueAt } : look;
}

/** Whether both pulse checks that count were recorded of a time before `atMs`. */
function isFollowedUpBy(line: LineState, policy: WardPolicy, atMs: number): boolean {
  const pulsesAfterRemoval = line.pulsesAfterRemoval.filter(({ at }) => at < atMs);
  return line.removed !== null && pulseChecks({ ...line, pulsesAfterRemoval }, policy).length === 0;
}

/** The latest reading, where it lies beyond the line's targets or the ward's limits and the line is in. */
export function pressureBeyond(line: LineState, policy: WardPolicy): Reading | null {
  const { reading, removed } = line;
  return reading && !removed && beyondAt(reading, reading.at, line, policy).length > 0 ? reading : null;
}
