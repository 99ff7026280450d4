import { isAtOnce } from '../duties/at-once.ts';
import { dutiesOfLine } from '../duties/duties-of-line.ts';
import { marksOn } from '../duties/marks-on.ts';
import { perState } from '../duties/per-state.ts';
import type { DutyKind } from '../duty-kind.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { minuteMs } from '../time.ts';
import { nurseOf } from '../ward/on-call.ts';
import type { WardState } from '../ward/ward-state.ts';
import { nextTakeover, visitAsOf, visitsOfShiftFrom } from './takeover.ts';
import { isNews, isOnVisits, speakForThemselves, speaksForItself } from './visit.ts';

/** A duty that a visit asked for, and when (ms). */
interface Asked {
  line: LineState;
  kind: DutyKind;
  at: number;
}

/**
 * The instant from which the next visit of one nurse's lines may begin, ms; 0: at once. Visits begin `nudgeGapMin` apart; after one
 * of which nothing was done, taken over, put off or said to be impossible, `repeatMin`: whoever does not get to it is not called
 * again and again. Something recorded since that made a duty due at once says that somebody is there. Whoever takes a shift over is
 * not kept waiting by what those before them were asked.
 */
export function visitHeldUntil(ward: WardState, lines: readonly LineState[], now: number): number {
  const { policy } = ward;
  const sinceMs = visitsOfShiftFrom(policy, now);
  const last = lastVisitAt(lines, policy);
  if (last < sinceMs) return 0;
  const asked = lines.flatMap((line) => askedOf(line, policy)).filter(({ at }) => at === last);
  // News asks for nothing, so nobody leaves it undone.
  const work = asked.filter((one) => !isNews(one));
  const isLeft = work.length > 0 && work.every((one) => isLeftOpen(one, policy, now));
  const isSomebodyThere = lines.some((line) =>
    dutiesOfLine(line, policy, now).some((duty) => isAtOnce(duty) && duty.dueAt >= last),
  );
  if (!isLeft || isSomebodyThere) return last + policy.nudgeGapMin * minuteMs;
  const calledAt = Math.max(last, ...lines.map(spokenForItselfAt));
  return Math.max(
    calledAt + Math.max(policy.nudgeGapMin, policy.repeatMin) * minuteMs,
    ...lines.map((line) => calledLateAt(line, policy) + apartMs),
  );
}

/** A nurse who does not answer is not called for a visit and for what is late closer together than this, ms. */
export const apartMs = 15 * minuteMs;

/** When a visit was last begun of these lines, ms; 0 where never. */
export function lastVisitAt(lines: readonly LineState[], policy: WardPolicy): number {
  return Math.max(0, ...lines.map((line) => askedLastAt(line, policy)));
}

/** When a nurse was last called for what was late of a line, ms; 0 where never. */
const calledLateAt = perState(({ marks }) =>
  Math.max(
    0,
    ...Object.values(marks).map(({ nurse }) => (nurse?.joins === undefined ? (nurse?.at ?? 0) : 0)),
  ),
);

/** When the ward was last told of a line what speaks for itself, ms; 0 where never. */
export function spokenForItselfAt({ marks }: LineState): number {
  return Math.max(0, ...speakForThemselves.map((kind) => marks[kind]?.nudged?.at ?? 0));
}

/** While a visit is held back because nothing was done of the last, what was done since is looked for this often, ms. */
const lookedAtEveryMs = 10 * minuteMs;

/** By line, the next instant at which its nurse's next visit may begin, ms: something may be done of the last before its gap is over. */
export function visitsHeldUntil(
  ward: WardState,
  lines: readonly LineState[],
  now: number,
): ReadonlyMap<string, number> {
  const held = new Map<string, number>();
  for (const mine of Map.groupBy(lines, (line) =>
    nurseOf(ward, line, visitAsOf(ward.policy, now)),
  ).values()) {
    // The next shift's first visit waits for nothing that this one was asked.
    const until = Math.min(visitHeldUntil(ward, mine, now), nextTakeover(ward.policy, now));
    const looks = Math.ceil((until - now) / lookedAtEveryMs) - 1;
    for (const { id } of mine) held.set(id, until - Math.max(0, looks) * lookedAtEveryMs);
  }
  return held;
}

/** While one cat's limit that was called out is open, the nurse is not called for the next within this, ms. */
const calledOnceMs = 60 * minuteMs;

/**
 * Whether the nurse of a line was called, less than an hour before `atMs`, for what speaks for itself of another of their lines
 * and is open still. Then they are named and their phone does not ring for each: the clinician hears of every one.
 */
export function isCalledAlready(
  ward: WardState,
  lines: readonly LineState[],
  { id, nurse }: { id: string; nurse: string },
  atMs: number,
  now: number,
): boolean {
  const { policy } = ward;
  return lines.some((other) => {
    const at = spokenForItselfAt(other);
    if (other.id === id || at >= atMs || at <= atMs - calledOnceMs) return false;
    const isOpen = dutiesOfLine(other, policy, now).some(
      (duty) => speaksForItself(duty) && isLeftOpen({ line: other, kind: duty.kind, at }, policy, now),
    );
    return isOpen && nurseOf(ward, other, now) === nurse;
  });
}

const askedOf = perState((line, policy): readonly Asked[] =>
  Object.entries(line.marks).flatMap(([name, { nudged }]) => {
    const kind = name as DutyKind;
    return nudged && isOnVisits({ kind }, policy) ? [{ line, kind, at: nudged.at }] : [];
  }),
);

const askedLastAt = perState((line, policy) => Math.max(0, ...askedOf(line, policy).map(({ at }) => at)));

/** Whether what a visit asked for is open still, and nobody said a word of it since. */
function isLeftOpen({ line, kind, at }: Asked, policy: WardPolicy, now: number): boolean {
  const duty = dutiesOfLine(line, policy, now).find((one) => one.kind === kind);
  if (!duty) return false;
  const { nudged, claimed, snoozed, cannot } = marksOn(line, duty);
  return nudged !== undefined && ![claimed, snoozed, cannot].some((words) => words && words.at >= at);
}
