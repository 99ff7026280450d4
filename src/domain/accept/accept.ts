import { byKind } from '../by-kind.ts';
import { dutyStatus } from '../duties/duty-status.ts';
import { type DutyKind, isClinicians } from '../duty-kind.ts';
import { wasCappedAt } from '../level/transducer.ts';
import type { Entry, EntryDraft, EntryHead, EntryKind, EntryOf } from '../record/entry.ts';
import type { Done, LineState } from '../record/line-state.ts';
import { minuteMs } from '../time.ts';
import type { WardState } from '../ward/ward-state.ts';
import { askedFirst, type Question, withUsualVolume } from './asked-first.ts';
import { checkAmendment } from './check-amendment.ts';
import { checks } from './check-by-kind.ts';
import { recordedAlready, sameEntryMs } from './recorded-already.ts';
import { checkTime, type Refusal } from './refusal.ts';

/** Whether `accept` must be given the line's log: to amend it, to compare with what was recorded of the same time. */
export function needsLog(line: LineState, draft: EntryDraft, at: number): boolean {
  const last = line.last[draft.kind];
  const near = last !== undefined && Math.abs(at - last.at) <= sameEntryMs;
  return draft.kind === 'amended' || at < line.latestAt || near;
}

/** What becomes of a draft: it’s taken, refused, recorded already, or asked about first. */
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

  return byKind(checks, draft, { line, ward, head, entry, log }) ?? { take: entry };
}

/** Whether a draft entry speaks of a transducer, of its trace, or of a source that runs into it. */
function wantsTransducer(draft: EntryDraft): boolean {
  if (draft.kind === 'faultOpened') return draft.body.sign !== 'blocked';
  if (draft.kind === 'flushModeChanged') return draft.body.mode === 'continuous';
  if (draft.kind === 'sourceChanged') return draft.body.newSet || draft.body.source.rateMlPerH !== undefined;
  return ['zeroed', 'levelled', 'fastFlushTested', 'reading'].includes(draft.kind);
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

/** Duties that words of this kind speak of, where they do nothing themselves. */
export function spokenOf(draft: EntryDraft): readonly (readonly [DutyKind, number])[] {
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
