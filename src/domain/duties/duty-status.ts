import { type DutyKind, isClinicians } from '../duty-kind.ts';
import { isCapped, needsTransducer } from '../level/transducer.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { Done, LineState } from '../record/line-state.ts';
import { dutiesOfLine } from './duties-of-line.ts';
import { concernsDuty, type Duty } from './duty.ts';
import { claimOn, marksOn, saidNear } from './marks-on.ts';
import { doneSince } from './recent.ts';
import { clearedBy } from './usual-draft.ts';

/** One duty that a message speaks of, as it was due when the message was made. */
export interface Asked {
  lineId: string;
  kind: DutyKind;
  dueAt: number;
}

/** How a duty that was asked for stands now. */
export type DutyStatus =
  | {
      is: 'open';
      duty: Duty;
      claimed?: { by: string; until: number };
      putOff?: { by: string; until: number };
      cannot?: { by: string; reason: string };
    }
  | { is: 'done'; done: Done }
  | { is: 'let go'; by: string; reason: string; until: number }
  | { is: 'line out'; done: Done }
  /** There is no such line: it was registered in error. */
  | { is: 'in error'; done: Done }
  | { is: 'over' };

/**
 * How the asked-for duty stands, for a message that must never show a stale ask. `askedAt` is when the message was made:
 * a duty of the kind due by then is the one it speaks of, even when an amendment moved its time. It is shown as open just
 * as long as the ladder takes the message for told, so no duty is asked for twice and none is without its ask.
 */
export function dutyStatus(
  line: LineState,
  policy: WardPolicy,
  asked: Asked,
  askedAt: number,
  now: number,
): DutyStatus {
  if (line.inError) return { is: 'in error', done: line.inError };
  const open = dutiesOfLine(line, policy, now).find(({ kind }) => kind === asked.kind);
  const isAskedFor = (duty: Duty) =>
    concernsDuty(asked.kind, { dueAt: asked.dueAt, at: askedAt }, duty.dueAt) ||
    (['nudged', 'clinician'] as const).some((to) => saidNear(line, duty, policy, to)?.at === askedAt);
  if (open && isAskedFor(open)) {
    const marks = marksOn(line, open);
    const { snoozed, cannot } = marks;
    const claimed = claimOn(marks);
    return {
      is: 'open',
      duty: open,
      ...(claimed && claimed.until > now ? { claimed } : {}),
      ...(snoozed && snoozed.until > now ? { putOff: snoozed } : {}),
      ...(cannot ? { cannot } : {}),
    };
  }
  const did = doneSince(line, asked.kind, askedAt);
  const isOwn = !isClinicians(asked.kind);
  // As it was done first: what came after, a later one of its kind, a waiver, a cap or the line out, is not of this round.
  if (did && isOwn && (followsUp(asked.kind) || !isSinceOut(line, did))) return { is: 'done', done: did };
  // Capped, it is not owed, and nobody did it.
  if (!open && !line.removed && isCapped(line) && needsTransducer(asked.kind)) return { is: 'over' };
  const waived = line.marks[asked.kind]?.waived;
  if (isClinicians(asked.kind) && open) {
    // Decided on by name; else a newer one is told in a message of its own.
    const isDecided = waived !== undefined && waived.dueAt >= asked.dueAt && open.dueAt === waived.until;
    return isDecided ? { is: 'let go', ...waived } : { is: 'over' };
  }
  const done = lastClearing(line, asked.kind);
  if (waived && waived.at >= askedAt && (!done || done.at < waived.at)) return { is: 'let go', ...waived };
  if (asked.kind === 'finding') {
    // The last word on a piece that stays where it is.
    if (line.tipMissing && waived && waived.dueAt >= asked.dueAt) return { is: 'let go', ...waived };
    const gone = line.findingGone;
    if (gone && gone.told >= asked.dueAt) return { is: 'done', done: gone };
    const { reading } = line;
    const isReadSince = reading !== null && reading.told >= asked.dueAt;
    if (isReadSince) return { is: 'done', done: reading };
    if (!line.removed || asked.dueAt >= line.removed.told) return { is: 'over' };
  }
  if (asked.kind === 'fault') {
    const gone = line.faultLeftResolved;
    if (gone && gone.told >= asked.dueAt) return { is: 'done', done: gone };
    if (!line.removed) return { is: 'over' };
  }
  if (line.removed && !followsUp(asked.kind)) {
    return { is: 'line out', done: line.last.removed ?? line.placed };
  }
  return done && !isAskedAnew(asked, open, done, now) ? { is: 'done', done } : { is: 'over' };
}

/**
 * Whether a zero or a test is due for a newer cause, as when a patient comes back that was zeroed nowhere on its way: what was
 * done before either cause did neither.
 */
function isAskedAnew({ kind, dueAt }: Asked, open: Duty | undefined, done: Done, now: number): boolean {
  const isByCause = kind === 'zero' || kind === 'test';
  return isByCause && open !== undefined && open.dueAt <= now && done.at < dueAt;
}

/** Whether a duty is one of a limb whose line is out. */
function followsUp(kind: DutyKind): boolean {
  return kind === 'hold' || kind === 'pulse' || kind === 'pulseNextDay';
}

/** Whether this was done as the line came out or after. */
function isSinceOut({ last: { removed } }: LineState, { entry }: Done): boolean {
  return removed !== undefined && removed.entry <= entry;
}

/** The latest entry that does a duty of this kind; null where none was recorded. */
export function lastClearing(line: LineState, kind: DutyKind): Done | null {
  return clearedBy[kind].reduce<Done | null>((latest, entryKind) => {
    const done = line.last[entryKind] ?? null;
    return done && (!latest || done.at > latest.at) ? done : latest;
  }, null);
}
