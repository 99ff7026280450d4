import { isFollowedUp, pulseChecks } from '../duties/after-removal.ts';
import { graceOf, type WardPolicy } from '../policy/ward-policy.ts';
import type { EntryOf } from '../record/entry.ts';
import { minuteMs } from '../time.ts';
import type { LineCourse } from './line-course.ts';
import { type Share, shareOf } from './share.ts';

type Pulse = EntryOf<'pulseChecked'>['body']['pulse'];

/** What one of the two looks after removal found, in lines. */
export interface PulseLook {
  found: Record<Pulse, number>;
  /** Nobody looked, though its time and the grace are over. */
  notChecked: number;
  /** Its time has not come by the period's end. */
  notYet: number;
  /** Of the lines whose pulse was recorded as present, weak or absent: never of those where nobody could say. */
  absent: Share;
  absentOrWeak: Share;
}

/** Pulses below the site after lines came out. */
export interface PulseAfterRemoval {
  removed: number;
  /** Of them the animals that lived and stayed: the others are in no figure below. */
  followedUp: number;
  first: PulseLook;
  nextDay: PulseLook;
}

type Look = Pulse | 'not checked' | 'not yet';

/** What the two looks at one limb found; `not followed up` where the animal died or left. */
export type LimbLooks = { first: Look; nextDay: Look } | 'not followed up';

/**
 * The looks after a removal up to `toMs`, by the last check that counts for each: a check from the next day's earliest time
 * on is the next day's, and one made while a clinician had let it go is a look like any other. Null for a line that was in.
 */
export function limbLooksOf(
  { steps, last }: Pick<LineCourse, 'steps' | 'last'>,
  policyAt: (at: number) => WardPolicy,
  toMs: number,
): LimbLooks | null {
  if (!last.removed) return null;
  if (!isFollowedUp(last)) return 'not followed up';
  const removedAt = last.removed.at;
  const policy = policyAt(removedAt);
  const owed = { ...last, pulsesAfterRemoval: [] };
  const [first, nextDay] = pulseChecks(owed, policy);
  // Let go until later, a look is not asked for before; whoever looked all the same has seen the pulse.
  const [firstLook, nextDayLook] = pulseChecks({ ...owed, marks: {} }, policy);
  if (!first || !nextDay || !firstLook || !nextDayLook)
    throw new Error(`line ${last.id}: followed up, yet without its two pulse checks`);
  const checks = steps.flatMap(({ entry, before }) =>
    entry.kind === 'pulseChecked' && before.removed && entry.at >= removedAt ? [entry] : [],
  );
  const found = (fromMs: number, untilMs: number, dueAt: number): Look =>
    checks.findLast(({ at }) => at >= fromMs && at < untilMs)?.body.pulse ??
    (toMs < dueAt + graceOf(policy, 'pulse').nurse * minuteMs ? 'not yet' : 'not checked');
  return {
    first: found(firstLook.earliestAt, nextDayLook.earliestAt, first.dueAt),
    nextDay: found(nextDayLook.earliestAt, Number.POSITIVE_INFINITY, nextDay.dueAt),
  };
}

/**
 * The pulse after removal, of the lines that came out in the period.
 *
 * Example: 73 present, 21 absent, 18 not reported → 21 of 94 absent, 22.3 % (JVECC 2017;27:89-95), never 21 of 112.
 */
export function pulseAfterRemoval(all: readonly LimbLooks[]): PulseAfterRemoval {
  const followed = all.filter((looks) => looks !== 'not followed up');
  return {
    removed: all.length,
    followedUp: followed.length,
    first: lookOf(followed.map(({ first }) => first)),
    nextDay: lookOf(followed.map(({ nextDay }) => nextDay)),
  };
}

function lookOf(looks: readonly Look[]): PulseLook {
  const count = (look: Look) => looks.filter((one) => one === look).length;
  const found = {
    present: count('present'),
    weak: count('weak'),
    absent: count('absent'),
    'cannot tell': count('cannot tell'),
  };
  const checked = found.present + found.weak + found.absent;
  return {
    found,
    notChecked: count('not checked'),
    notYet: count('not yet'),
    absent: shareOf(found.absent, checked),
    absentOrWeak: shareOf(found.absent + found.weak, checked),
  };
}
