import { type DutyKind, isClinicians, isDwell } from '../duty-kind.ts';
import type { Cause, LineState, Words } from '../record/line-state.ts';

/** Why a duty is due: an event, a shift's start, or the time since it was last done. */
export type Why =
  | Cause['why']
  | 'shift start'
  | 'interval'
  | 'dwell'
  | 'running out'
  | 'removed'
  | 'finding'
  | 'fault'
  | 'fault open';

/**
 * Something that is or will be due for one line. All instants are ms since the epoch.
 * Of each kind a line has at most one open duty: the first that is not yet done.
 */
export interface Duty {
  lineId: string;
  kind: DutyKind;
  dueAt: number;
  /** Done from here on, it counts. */
  earliestAt: number;
  why: Why;
  /** Number of the entry it counts from; absent where the calendar makes it due. */
  armedBy?: number;
  /** From here on it is owed no more, done or not. */
  expiresAt?: number;
}

/**
 * Makes a duty; done from `earlyMs` before it is due it counts. `armedBy`: number of the entry it counts from.
 * Where a clinician let it go, it is due again when the waiver ends; a waiver speaks of what was due or counting when it
 * was given, never of a cause that came later.
 * Nothing but a cat's dwell is late from before the line was registered: a line taken over by the bot is not overdue for
 * care that nobody could be reminded of.
 */
export function duty(
  line: LineState,
  kind: DutyKind,
  why: Why,
  dueBy: number,
  earlyMs = 0,
  armedBy?: number,
): Duty {
  // Policy hours may be any fraction; instants are whole milliseconds, and the record takes no others.
  const dueAt = Math.round(isDwell(kind) ? dueBy : Math.max(dueBy, line.knownSince));
  const waived = line.marks[kind]?.waived;
  const letGo =
    waived !== undefined &&
    (concernsDuty(kind, waived, dueAt) || (!isClinicians(kind) && saidAfterArming(waived, armedBy)));
  const movedTo = letGo ? Math.max(dueAt, waived.until) : dueAt;
  const from = letGo ? waived.entry : armedBy;
  return {
    lineId: line.id,
    kind,
    why,
    dueAt: movedTo,
    earliestAt: Math.round(movedTo - earlyMs),
    ...(from === undefined ? {} : { armedBy: from }),
  };
}

/** Whether words came after the entry a duty counts from: then they speak of it, wherever an amendment moves its time. */
export function saidAfterArming(words: Words, armedBy: number | undefined): boolean {
  return armedBy !== undefined && words.entry > armedBy;
}

/** Whether words came after others: by their time and, told of one instant, by which was recorded first. */
export function saidAfter(words: Words, others: Words): boolean {
  return words.at > others.at || (words.at === others.at && words.entry > others.entry);
}

/**
 * Words about a duty kind concern the duty due at `dueAt` when they named that time, or came at or after it fell due:
 * so an amended time, which moves the due time a little, neither loses nor doubles a reminder.
 */
export function concerns(words: { dueAt: number; at: number }, dueAt: number): boolean {
  return words.dueAt === dueAt || words.at >= dueAt;
}

/**
 * Whether words about a duty kind concern the duty due at `dueAt`. What a clinician said of one finding or fault is not said
 * of a newer one: there the words must have named it.
 */
export function concernsDuty(kind: DutyKind, words: { dueAt: number; at: number }, dueAt: number): boolean {
  return isClinicians(kind) ? words.dueAt >= dueAt : concerns(words, dueAt);
}

/** The earlier due of what is due at once, where something is, and what is due by the clock. */
export function firstDue(atOnce: Duty | null, byClock: Duty): Duty {
  return atOnce === null || byClock.dueAt < atOnce.dueAt ? byClock : atOnce;
}
