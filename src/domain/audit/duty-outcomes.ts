import { pulseChecks } from '../duties/after-removal.ts';
import { atOnceMs } from '../duties/at-once.ts';
import type { Duty } from '../duties/duty.ts';
import { catDwell, stillNeeded } from '../duties/dwell.ts';
import { fastFlushTest } from '../duties/fast-flush-test.ts';
import { sourceCheck, sourceRunOut, transducerSet } from '../duties/flush-source.ts';
import { manualFlush } from '../duties/manual-flush.ts';
import { redress } from '../duties/redress.ts';
import { siteCheck } from '../duties/site-check.ts';
import { nurseGraceMs } from '../duties/urgency.ts';
import { clearedBy } from '../duties/usual-draft.ts';
import { zeroAndLevel } from '../duties/zero-and-level.ts';
import { type DutyKind, dutyKinds } from '../duty-kind.ts';
import type { FoldStep } from '../fold/fold-line.ts';
import { needsTransducer } from '../level/transducer.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { EntryKind, EntryOf } from '../record/entry.ts';
import type { LineState } from '../record/line-state.ts';
import type { LineCourse } from './line-course.ts';

/**
 * How to find the open duty of each kind whose time is a nurse's to keep. Not among them: a fault left half way, which is a question; findings and faults left, which are
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
/** A duty whose care is counted as on time or late. */
export type TimedDutyKind = keyof typeof dutyOf;

const timedKinds = dutyKinds.filter((kind): kind is TimedDutyKind => kind in dutyOf);
const whileOut: ReadonlySet<DutyKind> = new Set(['pulse', 'pulseNextDay']);
const kindsIn = timedKinds.filter((kind) => !whileOut.has(kind));
const kindsOut = timedKinds.filter((kind) => whileOut.has(kind));

/**
 * Which duties to look at after an entry of a kind. A change of how the line is flushed may drop its source's check; capped,
 * a line has nothing to zero, to test or to change.
 */
const kindsClearedBy = new Map<EntryKind, TimedDutyKind[]>([
  ['flushModeChanged', ['source']],
  ['capped', timedKinds.filter(needsTransducer)],
]);
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
 * How the duties of a line ended that were due before `toMs`, by the due times that the line's own state gave them and the
 * policy in force when they ended.
 * - on time: done before the nurse's grace was over, when the ladder turns to that nurse;
 * - late: done after;
 * - not done: past its grace when the line came out, when it was dropped, or at `toMs`;
 * - let go: a clinician waived it. An answer to "still needed?" is no letting go but its doing.
 *
 * A duty that is not done for long is one duty, however many shifts it is owed. What was done before it counted (a flush ten
 * minutes after a flush) is nothing that was asked for, and left out.
 */
export function dutyOutcomes(
  { steps, last }: Pick<LineCourse, 'steps' | 'last'>,
  policyAt: (at: number) => WardPolicy,
  toMs: number,
): DutyOutcome[] {
  const book = new OutcomeBook();
  for (const step of steps) {
    const policy = policyAt(step.entry.at);
    if (step.entry.kind === 'removed') book.writeRemoval(step.before, policy, step.entry.at);
    else if (step.entry.kind === 'waived') book.writeWaiver(step.before, policy, step.entry);
    else book.writeCare(step, policy);
  }
  book.writeUndone(last, last.removed ? kindsOut : kindsIn, policyAt(toMs - 1), toMs);
  return book.outcomes;
}

/** The outcomes of one line so far, and what is owed longer than its state still says. */
class OutcomeBook {
  readonly outcomes: DutyOutcome[] = [];
  /** When a debt past its grace first fell due, whose cause changed: a flush owed by the hour, then for blood in the line. */
  private readonly owedSince = new Map<TimedDutyKind, number>();

  writeRemoval(before: LineState, policy: WardPolicy, at: number): void {
    if (before.removed) return;
    const ended = (kindsClearedBy.get('removed') ?? []).filter((kind) => {
      const duty = this.owed(kind, before, policy);
      // A cat's line that is out before its limit kept it.
      const counts = duty !== null && (kind === 'dwellLimit' || at >= duty.earliestAt);
      if (counts) this.writeDone(kind, duty, policy, at);
      return counts;
    });
    this.writeUndone(
      before,
      kindsIn.filter((kind) => !ended.includes(kind)),
      policy,
      at,
    );
  }

  writeWaiver(before: LineState, policy: WardPolicy, { at, body }: EntryOf<'waived'>): void {
    const kind = timedKinds.find((one) => one === body.duty);
    const duty = kind && isOfNow(kind, before) ? this.owed(kind, before, policy) : null;
    if (!kind || !duty) return;
    if (kind !== 'stillNeeded') this.write(kind, duty, 'let go', null);
    else if (at >= duty.earliestAt) this.writeDone(kind, duty, policy, at);
  }

  writeCare({ before, entry, after }: FoldStep, policy: WardPolicy): void {
    for (const kind of kindsClearedBy.get(entry.kind) ?? []) {
      const duty = isOfNow(kind, before) ? this.owed(kind, before, policy) : null;
      if (!duty || entry.at < duty.earliestAt) continue;
      const next = dutyOf[kind](after, policy);
      const graceEnds = graceEndsAt(duty, policy);
      const isPastGrace = entry.at >= graceEnds;
      if (next && next.dueAt <= Math.max(entry.at, duty.dueAt)) {
        if (!isPastGrace || next.dueAt <= duty.dueAt) continue;
        // Of a new cause within its grace it is one debt; the nurse was told of the old one when a later cause came.
        if (next.dueAt <= graceEnds) this.owedSince.set(kind, duty.dueAt);
        else this.write(kind, duty, 'not done', null);
        continue;
      }
      // Who changes how the line is flushed neither flushes it nor looks at its source; who caps it does not zero it.
      const isDropped =
        (entry.kind === 'flushModeChanged' && kind !== 'runOut') ||
        (entry.kind === 'capped' && needsTransducer(kind));
      if (!isDropped) this.writeDone(kind, duty, policy, entry.at);
      else if (isPastGrace) this.write(kind, duty, 'not done', null);
    }
  }

  writeUndone(line: LineState, kinds: readonly TimedDutyKind[], policy: WardPolicy, at: number): void {
    for (const kind of kinds) {
      const duty = this.owed(kind, line, policy);
      if (duty && at >= graceEndsAt(duty, policy)) this.write(kind, duty, 'not done', null);
    }
  }

  private owed(kind: TimedDutyKind, line: LineState, policy: WardPolicy): Duty | null {
    const duty = dutyOf[kind](line, policy);
    const since = this.owedSince.get(kind);
    return duty && since !== undefined && since < duty.dueAt ? { ...duty, dueAt: since } : duty;
  }

  private writeDone(kind: TimedDutyKind, duty: Duty, policy: WardPolicy, at: number): void {
    this.write(kind, duty, at < graceEndsAt(duty, policy) ? 'on time' : 'late', at - duty.dueAt);
  }

  private write(
    kind: TimedDutyKind,
    { dueAt }: Duty,
    ended: DutyOutcome['ended'],
    lateByMs: number | null,
  ): void {
    this.outcomes.push({ kind, dueAt, ended, lateByMs });
    this.owedSince.delete(kind);
  }
}

/** Whether duties of this kind are of a line that is in, or out, as this one is. */
function isOfNow(kind: TimedDutyKind, line: LineState): boolean {
  return (line.removed !== null) === whileOut.has(kind);
}

function graceEndsAt(duty: Duty, policy: WardPolicy): number {
  return duty.dueAt + atOnceMs(duty, policy) + nurseGraceMs(duty, policy);
}
