import { pulseChecks } from '../duties/after-removal.ts';
import { type Duty, minuteMs } from '../duties/duty.ts';
import { type DutyKind, dutyKinds } from '../duties/duty-kind.ts';
import { catDwell, stillNeeded } from '../duties/dwell.ts';
import { fastFlushTest } from '../duties/fast-flush-test.ts';
import { sourceCheck, sourceRunOut, transducerSet } from '../duties/flush-source.ts';
import { manualFlush } from '../duties/manual-flush.ts';
import { redress } from '../duties/redress.ts';
import { siteCheck } from '../duties/site-check.ts';
import { clearedBy } from '../duties/usual-telling.ts';
import { zeroAndLevel } from '../duties/zero-and-level.ts';
import { graceOf, type WardPolicy } from '../policy/ward-policy.ts';
import type { EntryKind } from '../record/entry.ts';
import type { LineState } from '../record/line-state.ts';
import { isWithin, type LineCourse, type Period } from './line-course.ts';
import { type Share, shareOf } from './share.ts';
import { type Spread, spreadOf } from './spread.ts';

/**
 * How to find the open duty of each kind whose time is a nurse's to keep. Not among them: findings and faults left, which are
 * a clinician's at once; the dwell warning and the end of a hold, which are news.
 */
const dutyOf = {
  flush: manualFlush,
  runOut: sourceRunOut,
  zero: zeroAndLevel,
  test: fastFlushTest,
  source: sourceCheck,
  site: siteCheck,
  redress,
  stillNeeded,
  set: transducerSet,
  dwellLimit: (line, policy) => catDwell(line, policy).find(({ kind }) => kind === 'dwellLimit') ?? null,
  pulse: (line, policy) => pulseChecks(line, policy).find(({ kind }) => kind === 'pulse') ?? null,
  pulseNextDay: (line, policy) =>
    pulseChecks(line, policy).find(({ kind }) => kind === 'pulseNextDay') ?? null,
} as const satisfies Partial<Record<DutyKind, (line: LineState, policy: WardPolicy) => Duty | null>>;
export type TimedDutyKind = keyof typeof dutyOf;

const timedKinds = dutyKinds.filter((kind): kind is TimedDutyKind => kind in dutyOf);
const whileOut: ReadonlySet<DutyKind> = new Set(['pulse', 'pulseNextDay']);
const kindsIn = timedKinds.filter((kind) => !whileOut.has(kind));
const kindsOut = timedKinds.filter((kind) => whileOut.has(kind));

const kindsClearedBy = new Map<EntryKind, TimedDutyKind[]>();
for (const kind of timedKinds)
  for (const entryKind of clearedBy[kind])
    kindsClearedBy.set(entryKind, [...(kindsClearedBy.get(entryKind) ?? []), kind]);

/** How one duty of one line ended. */
export interface DutyOutcome {
  kind: TimedDutyKind;
  dueAt: number;
  ended: 'on time' | 'late' | 'not done' | 'let go';
  /** How long after it was due it was done, ms, negative before; null where it was not. */
  lateByMs: number | null;
}

/**
 * How the duties of a line ended that were due before `toMs`, by the due times that the line's own state and the policy of the
 * time gave them. On time: done before the nurse's grace was over, when the ladder turns to that nurse. Late: done
 * after. Not done: past its grace when the line came out, or at `toMs`. Let go: a clinician waived it; an answer to "still
 * needed?" is no letting go but its doing. A duty that is not done for long is one duty, however many shifts it is owed.
 * What was done before it counted (a flush ten minutes after a flush) is nothing that was asked for, and left out.
 */
export function dutyOutcomes(
  { steps, last }: Pick<LineCourse, 'steps' | 'last'>,
  policyAt: (at: number) => WardPolicy,
  toMs: number,
): DutyOutcome[] {
  const outcomes: DutyOutcome[] = [];
  const done = ({ kind, dueAt }: Duty, policy: WardPolicy, at: number) =>
    outcomes.push({
      kind: kind as TimedDutyKind,
      dueAt,
      ended: at < graceEndsAt({ kind, dueAt }, policy) ? 'on time' : 'late',
      lateByMs: at - dueAt,
    });
  const leaveUndone = (line: LineState, kinds: readonly TimedDutyKind[], policy: WardPolicy, at: number) => {
    for (const kind of kinds) {
      const duty = dutyOf[kind](line, policy);
      if (duty && at >= graceEndsAt(duty, policy))
        outcomes.push({ kind, dueAt: duty.dueAt, ended: 'not done', lateByMs: null });
    }
  };

  for (const { before, entry, after } of steps) {
    if (entry.kind === 'removed') {
      if (before.removed) continue;
      const policy = policyAt(entry.at);
      const endedByIt = (kindsClearedBy.get('removed') ?? []).filter((kind) => {
        const duty = dutyOf[kind](before, policy);
        // A cat's line that is out before its limit kept it.
        const counts = duty !== null && (kind === 'dwellLimit' || entry.at >= duty.earliestAt);
        if (counts) done(duty, policy, entry.at);
        return counts;
      });
      leaveUndone(
        before,
        kindsIn.filter((kind) => !endedByIt.includes(kind)),
        policy,
        entry.at,
      );
      continue;
    }
    if (entry.kind === 'waived') {
      const kind = timedKinds.find((one) => one === entry.body.duty);
      if (!kind || (before.removed !== null) !== whileOut.has(kind)) continue;
      const policy = policyAt(entry.at);
      const duty = dutyOf[kind](before, policy);
      if (!duty) continue;
      if (kind === 'stillNeeded') {
        if (entry.at >= duty.earliestAt) done(duty, policy, entry.at);
      } else outcomes.push({ kind, dueAt: duty.dueAt, ended: 'let go', lateByMs: null });
      continue;
    }
    for (const kind of kindsClearedBy.get(entry.kind) ?? []) {
      if ((before.removed !== null) !== whileOut.has(kind)) continue;
      const policy = policyAt(entry.at);
      const duty = dutyOf[kind](before, policy);
      if (!duty || entry.at < duty.earliestAt) continue;
      const next = dutyOf[kind](after, policy);
      if (!next || next.dueAt > duty.dueAt) done(duty, policy, entry.at);
    }
  }
  leaveUndone(last, last.removed ? kindsOut : kindsIn, policyAt(toMs - 1), toMs);
  return outcomes;
}

function graceEndsAt({ kind, dueAt }: Pick<Duty, 'kind' | 'dueAt'>, policy: WardPolicy): number {
  return dueAt + graceOf(policy, kind).nurse * minuteMs;
}

/** How the duties of one kind were kept. */
export interface CareOnTime {
  /** Done on time, of all that were asked for and not let go. */
  onTime: Share;
  late: number;
  notDone: number;
  letGo: number;
  /** How late those done late were, ms after they were due. */
  lateByMs: Spread;
}

/** Care on time by duty, of the duties that fell due within the period; kinds that none fell due of are absent. */
export function careOnTime(
  all: readonly DutyOutcome[],
  period: Period,
): Partial<Record<TimedDutyKind, CareOnTime>> {
  const byKind = Map.groupBy(
    all.filter(({ dueAt }) => isWithin(dueAt, period)),
    ({ kind }) => kind,
  );
  return Object.fromEntries(
    [...byKind].map(([kind, outcomes]) => {
      const count = (ended: DutyOutcome['ended']) => outcomes.filter((one) => one.ended === ended).length;
      const letGo = count('let go');
      const care: CareOnTime = {
        onTime: shareOf(count('on time'), outcomes.length - letGo),
        late: count('late'),
        notDone: count('not done'),
        letGo,
        lateByMs: spreadOf(
          outcomes.flatMap(({ ended, lateByMs }) =>
            ended === 'late' && lateByMs !== null ? [lateByMs] : [],
          ),
        ),
      };
      return [kind, care];
    }),
  );
}
