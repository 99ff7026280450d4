import { concerns, concernsDuty } from '../duties/duty.ts';
import { dutyStatus } from '../duties/duty-status.ts';
import { claimOn } from '../duties/marks-on.ts';
import { type DutyKind, isClinicians } from '../duty-kind.ts';
import { openFault } from '../fold/fold-faults.ts';
import { isCapped, wasCappedAt } from '../level/transducer.ts';
import { laterMinOf } from '../policy/ward-policy.ts';
import { hasTargets, longestTargetsMs, targetsInForce } from '../reading/targets.ts';
import type { DraftOf, Entry, EntryDraft, EntryHead, EntryKind, EntryOf } from '../record/entry.ts';
import type { Done, LineState } from '../record/line-state.ts';
import { nextShiftStart } from '../shifts/shift-calendar.ts';
import { minuteMs } from '../time.ts';
import { mayDecide } from '../ward/on-call.ts';
import type { WardState } from '../ward/ward-state.ts';
import { askedFirst, type Question, withUsualVolume } from './asked-first.ts';
import { checkAmendment } from './check-amendment.ts';
import { checkClosing, checkStep, pressedAgainMs } from './check-fault.ts';
import { recordedAlready, sameEntryMs } from './recorded-already.ts';
import { checkReading, checkTime, decisionMs, type Refusal } from './refusal.ts';

/** Whether `accept` must be given the line's log: to amend it, to compare with what was recorded of the same time. */
export function needsLog(line: LineState, draft: EntryDraft, at: number): boolean {
  const last = line.last[draft.kind];
  const near = last !== undefined && Math.abs(at - last.at) <= sameEntryMs;
  return draft.kind === 'amended' || at < line.latestAt || near;
}

export type Verdict = { take: Entry } | { refuse: Refusal } | { already: Done } | { ask: Question };

/**
 * Whether a draft entry about a line is taken into its log, as things stand. `log` is needed where `needsLog` says so.
 * The same thing recorded again within a minute, by the same or another person, makes no second entry; a value that only the
 * later one gives is added to the first by an amendment.
 */
export function accept(
  line: LineState,
  ward: WardState,
  draft: EntryDraft,
  head: EntryHead,
  log: readonly Entry[] = [],
): Verdict {
  const refuse = (refusal: Refusal): Verdict => ({ refuse: refusal });
  const now = head.told;
  const whole = withUsualVolume(draft, ward.policy, line.patient.weightKg);
  const entry = { ...head, ...whole } as Entry;
  const time = checkTime(head.at, now);
  if (time) return refuse(time);
  const { inError } = line;
  const isBack = draft.kind === 'amended' && draft.body.target === inError?.entry;
  if (inError && !isBack) return refuse({ because: 'registered in error', at: inError.at, by: inError.by });
  if (head.at < line.placed.at)
    return refuse({ because: 'before placing', at: head.at, placedAt: line.placed.at });
  const standing = checkStanding(line, draft.kind, head.at);
  if (standing) return refuse(standing);
  if (wantsTransducer(draft) && wasCappedAt(line, head.at)) return refuse({ because: 'no transducer' });
  const before = recordedAlready(log, draft, head);
  const question =
    before && !before.adds ? null : askedFirst(line, ward.policy, whole, head, before !== null);
  if (question) return { ask: question };
  if (before?.adds) {
    const body = { target: before.done.entry, body: before.adds };
    const amendment: EntryOf<'amended'> = { ...head, kind: 'amended', body, at: now };
    const wrong = checkAmendment(line, ward, amendment, log);
    return wrong ? refuse(wrong) : { take: amendment };
  }
  if (before) return { already: before.done };
  const settled = settledAlready(line, ward, draft, now);
  if (settled) return settled;

  switch (draft.kind) {
    case 'waived':
      if (!mayDecide(ward, head.by, now)) return refuse({ because: 'clinician only' });
      if (draft.body.until > now + decisionMs)
        return refuse({ because: 'decided for too long', latest: now + decisionMs });
      break;
    case 'claimed':
      for (const [kind, dueAt] of draft.body.duties) {
        const held = claimOn(line.marks[kind] ?? {});
        if (held && held.by !== head.by && held.until > now && concernsDuty(kind, held, dueAt)) {
          return refuse({ because: 'claimed already', by: held.by, until: held.until });
        }
      }
      break;
    case 'snoozed': {
      for (const [kind, dueAt] of draft.body.duties) {
        if (laterMinOf(ward.policy, kind) === 0) return refuse({ because: 'cannot be put off' });
        const before = line.marks[kind]?.snoozed;
        if (before && concerns(before, dueAt) && before.by === head.by && now - before.at <= pressedAgainMs)
          return { already: { at: before.at, by: before.by, entry: before.entry } };
        if (before && concerns(before, dueAt))
          return refuse({ because: 'put off once already', until: before.until });
      }
      break;
    }
    case 'flushModeChanged':
      if (draft.body.mode === line.flushMode && line.last.flushModeChanged?.by === head.by) {
        const { at } = line.last.flushModeChanged;
        if (now - at <= pressedAgainMs) return { already: line.last.flushModeChanged };
      }
      if (draft.body.mode === line.flushMode)
        return refuse({ because: 'mode as before', mode: line.flushMode });
      break;
    case 'reading': {
      const refusal = checkReading(draft.body);
      if (refusal) return refuse(refusal);
      break;
    }
    case 'faultOpened': {
      const open = openFault(line, draft.body.sign);
      if (open) return { already: { at: open.at, by: open.by, entry: open.entry } };
      break;
    }
    case 'faultStep': {
      const verdict = checkStep(line, draft.body);
      if (verdict) return verdict;
      break;
    }
    case 'faultClosed': {
      const verdict = checkClosing(line, draft.body, head);
      if (verdict) return verdict;
      break;
    }
    case 'assigned': {
      const { from } = draft.body;
      if (from !== undefined && !isShiftToCome(ward, from, now))
        return refuse({ because: 'not a shift start', at: from });
      break;
    }
    case 'amended': {
      const refusal = checkAmendment(line, ward, entry as EntryOf<'amended'>, log);
      if (refusal) return refuse(refusal);
      break;
    }
    case 'capped':
      if (isCapped(line) && !draft.body.flushed) return { already: line.last.capped ?? line.placed };
      break;
    case 'leftWard':
    case 'arrived':
    case 'returned': {
      const verdict = checkMove(line, draft, now);
      if (verdict) return verdict;
      break;
    }
    case 'targetsSet': {
      const { until } = draft.body;
      if (!mayDecide(ward, head.by, now)) return refuse({ because: 'clinician only' });
      if (!hasTargets(draft.body)) return refuse({ because: 'no targets' });
      if (until <= now) return refuse({ because: 'ends too soon', until });
      if (until > now + longestTargetsMs)
        return refuse({ because: 'decided for too long', latest: now + longestTargetsMs });
      break;
    }
    case 'targetsEnded':
      if (!mayDecide(ward, head.by, now)) return refuse({ because: 'clinician only' });
      if (targetsInForce(line, head.at) === null) return refuse({ because: 'no targets' });
      break;
    case 'placed':
    case 'zeroed':
    case 'levelled':
    case 'fastFlushTested':
    case 'transducerJoined':
    case 'flushed':
    case 'sourceChanged':
    case 'sourceChecked':
    case 'redressed':
    case 'siteChecked':
    case 'sampled':
    case 'disturbed':
    case 'noted':
    case 'removed':
    case 'pulseChecked':
    case 'holdEnded':
    case 'nudged':
    case 'escalated':
      break;
  }
  return { take: entry };
}

/** Whether a draft entry speaks of a transducer, of its trace, or of a source that runs into it. */
function wantsTransducer(draft: EntryDraft): boolean {
  if (draft.kind === 'faultOpened') return draft.body.sign !== 'blocked';
  if (draft.kind === 'flushModeChanged') return draft.body.mode === 'continuous';
  if (draft.kind === 'sourceChanged') return draft.body.newSet || draft.body.source.rateMlPerH !== undefined;
  return ['zeroed', 'levelled', 'fastFlushTested', 'reading'].includes(draft.kind);
}

/** A step of a move is taken where it changes something: the same one recorded again is the one that stands. */
function checkMove(
  { away, last }: LineState,
  { kind, body }: DraftOf<'leftWard'> | DraftOf<'arrived'> | DraftOf<'returned'>,
  now: number,
): Verdict | null {
  const isNamedAnew = body.with !== undefined && body.with !== away?.with;
  if (kind === 'leftWard') {
    const isSame = away !== null && 'to' in body && body.to === away.to && !isNamedAnew;
    return isSame ? { already: away } : null;
  }
  if (away === null) {
    const again = last[kind];
    return again && now - again.at <= pressedAgainMs
      ? { already: again }
      : { refuse: { because: 'not away' } };
  }
  if (kind === 'arrived' && away.arrivedAt !== null && !isNamedAnew) return { already: last.arrived ?? away };
  return null;
}

/** Whether a line can be given to somebody from `from` (ms) on: the start of the coming shift. */
function isShiftToCome({ policy }: WardState, from: number, now: number): boolean {
  return from === nextShiftStart(policy.shifts, now);
}

/** After removal a line takes only what follows it up; what happened before it came out may still be recorded late. */
function checkStanding(line: LineState, kind: EntryKind, at: number): Refusal | null {
  const followUp = kind === 'pulseChecked' || kind === 'holdEnded';
  // The puncture is looked at after removal as the site was before.
  if (kind === 'siteChecked') return null;
  if (!line.removed) return followUp ? { because: 'line still in' } : null;
  const always: readonly EntryKind[] = [
    'amended',
    'noted',
    'nudged',
    'escalated',
    'claimed',
    'snoozed',
    'waived',
    'assigned',
    'arrived',
    'returned',
  ];
  if (followUp || always.includes(kind)) return null;
  if (kind !== 'removed' && at < line.removed.at) return null;
  return { because: 'line out', removedAt: line.removed.at, by: line.removed.by };
}

/** Duties that words of this kind speak of. */
function spokenOf(draft: EntryDraft): readonly (readonly [DutyKind, number])[] {
  if (draft.kind === 'claimed' || draft.kind === 'snoozed') return draft.body.duties;
  if (draft.kind === 'waived') return [[draft.body.duty, draft.body.dueAt]];
  return draft.kind === 'noted' && draft.body.cannot ? [draft.body.cannot] : [];
}

/**
 * "Later", "cannot", a claim or a waiver pressed on an old message, when all it speaks of is done: the answer is who did
 * it. Were it taken, it would silence the next duty of its kind. A duty due within a round's minutes is spoken of still.
 */
function settledAlready(line: LineState, ward: WardState, draft: EntryDraft, now: number): Verdict | null {
  const asked = spokenOf(draft).map(([kind, dueAt]) => ({ lineId: line.id, kind, dueAt }));
  if (asked.length === 0) return null;
  const soon = now + ward.policy.roundMin * minuteMs;
  if (asked.some((one) => dutyStatus(line, ward.policy, one, soon, now).is === 'open')) return null;
  for (const one of asked) {
    const status = dutyStatus(line, ward.policy, one, one.dueAt, now);
    if (status.is === 'done') return { already: status.done };
    if (status.is === 'over' && isClinicians(one.kind)) return { refuse: { because: 'recorded anew' } };
    if (status.is === 'line out') {
      return { refuse: { because: 'line out', removedAt: status.done.at, by: status.done.by } };
    }
  }
  return null;
}
