import type { DraftOf, Entry, EntryKind } from '../record/entry.ts';
import { hourMs, minuteMs } from '../time.ts';

/** Furthest into the future a time may lie: clocks and fingers differ a little. */
export const futureToleranceMs = 2 * minuteMs;

/** How late a thing may be recorded. */
export const backDateMs = 24 * hourMs;

/** How long ago a line may have been placed when it is registered: a ward that begins with the bot has lines in already. */
export const placingBackDateMs = 14 * 24 * hourMs;

/** Why a draft entry is not taken. Each carries what its answer needs to say what to do instead. */
export type Refusal =
  | { because: 'in the future'; at: number; now: number }
  | { because: 'too long ago'; at: number; earliest: number }
  | { because: 'before placing'; at: number; placedAt: number }
  | { because: 'line out'; removedAt: number; by: string }
  | { because: 'line still in' }
  /** Taken out at a time after which somebody saw to it: the latest that was done to it. */
  | { because: 'seen to since'; entry: Entry }
  /** The line is capped: there is nothing to zero, and nothing that shows a pressure. */
  | { because: 'no transducer' }
  /** Recorded of a patient that is on the ward. */
  | { because: 'not away' }
  | { because: 'clinician only' }
  | { because: 'decided for too long'; latest: number }
  | { because: 'ends too soon'; until: number }
  /** No target is recorded, or none holds that could be ended. */
  | { because: 'no targets' }
  /** It was recorded anew since: what is said of the older one would silence the newer. */
  | { because: 'recorded anew' }
  | { because: 'cannot be put off' }
  | { because: 'put off once already'; until: number }
  | { because: 'claimed already'; by: string; until: number }
  | { because: 'mode as before'; mode: 'manual' | 'continuous' }
  | { because: 'diastolic above systolic' }
  | { because: 'mean outside' }
  | { because: 'no such entry'; target: number }
  /** There is no such line. */
  | { because: 'registered in error'; at: number; by: string }
  /** Struck as registered in error unseen: the latest of what was recorded of it meanwhile. */
  | { because: 'recorded since'; count: number; at: number; by: string; kind: EntryKind }
  /** Brought back, this removal would be a second one beside the one that stands. */
  | { because: 'out twice'; removedAt: number; by: string }
  | { because: 'written by the bot' }
  | { because: 'values do not fit'; problems: string[] }
  | { because: 'no open fault' }
  | { because: 'step not asked' }
  | { because: 'not a shift start'; at: number };

/** A clinician's decision holds this long at most; one for longer is asked for anew. */
export const decisionMs = 72 * hourMs;

/** Whether a time recorded is one that can be believed: not in the future, not too long ago. */
export function checkTime(at: number, now: number, backMs = backDateMs): Refusal | null {
  if (at > now + futureToleranceMs) return { because: 'in the future', at, now };
  if (at < now - backMs) return { because: 'too long ago', at, earliest: now - backMs };
  return null;
}

/** Why these pressures cannot be; null where they can. */
export function checkReading({ sapMmHg, dapMmHg, mapMmHg }: DraftOf<'reading'>['body']): Refusal | null {
  if (dapMmHg > sapMmHg) return { because: 'diastolic above systolic' };
  if (mapMmHg !== undefined && (mapMmHg > sapMmHg || mapMmHg < dapMmHg)) return { because: 'mean outside' };
  return null;
}
