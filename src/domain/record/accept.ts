import { concerns, concernsDuty, hourMs, isClinicians, minuteMs } from '../duties/duty.ts';
import type { DutyKind } from '../duties/duty-kind.ts';
import { dutyStatus } from '../duties/duty-status.ts';
import { claimOn } from '../duties/marks-on.ts';
import { nextQuestion, signOfStep } from '../fault/next-question.ts';
import { isCapped, wasCappedAt } from '../line/transducer.ts';
import { laterMinOf } from '../policy/ward-policy.ts';
import { hasTargets, longestTargetsMs, targetsInForce } from '../reading/targets.ts';
import { nextShiftStart } from '../shifts/shift-calendar.ts';
import { mayDecide } from '../ward/on-call.ts';
import type { WardState } from '../ward/ward-state.ts';
import { askedFirst, type Question, withUsualVolume } from './asked-first.ts';
import { type EffectiveEntry, effectiveEntries, withValues } from './effective-entries.ts';
import {
  bodySchema,
  type Entry,
  type EntryHead,
  type EntryKind,
  type EntryOf,
  type Telling,
  type TellingOf,
} from './entry.ts';
import { openFault } from './fold-faults.ts';
import type { Done, LineState } from './line-state.ts';
import { sameTellingMs, toldAlready } from './told-already.ts';

/** Furthest into the future a time may lie: clocks and fingers differ a little. */
export const futureToleranceMs = 2 * minuteMs;
/** How late a thing may be told. */
export const backDateMs = 24 * hourMs;
/** How long ago a line may have been placed when it is registered: a ward that begins with the bot has lines in already. */
export const placingBackDateMs = 14 * 24 * hourMs;

/** What is pressed again within this because the record was slow to answer is the first press, and stands. */
const pressedAgainMs = 2 * minuteMs;

/** Why a telling is not taken. Each carries what its answer needs to say what to do instead. */
export type Refusal =
  | { because: 'in the future'; at: number; now: number }
  | { because: 'too long ago'; at: number; earliest: number }
  | { because: 'before placing'; at: number; placedAt: number }
  | { because: 'line out'; removedAt: number; by: string }
  | { because: 'line still in' }
  /** The line is capped: there is nothing to zero, and nothing that shows a pressure. */
  | { because: 'no transducer' }
  /** Told of a patient that is on the ward. */
  | { because: 'not away' }
  | { because: 'clinician only' }
  | { because: 'decided for too long'; latest: number }
  | { because: 'ends too soon'; until: number }
  /** No target is told, or none holds that could be ended. */
  | { because: 'no targets' }
  /** It was told anew since: what is said of the older one would silence the newer. */
  | { because: 'told anew' }
  | { because: 'cannot be put off' }
  | { because: 'put off once already'; until: number }
  | { because: 'claimed already'; by: string; until: number }
  | { because: 'mode as before'; mode: 'manual' | 'continuous' }
  | { because: 'diastolic above systolic' }
  | { because: 'mean outside' }
  | { because: 'no such entry'; target: number }
  /** There is no such line. */
  | { because: 'registered in error'; at: number; by: string }
  /** Struck as registered in error unseen: the latest of what was told of it meanwhile. */
  | { because: 'told of since'; count: number; at: number; by: string; kind: EntryKind }
  /** Brought back, this removal would be a second one beside the one that stands. */
  | { because: 'out twice'; removedAt: number; by: string }
  | { because: 'written by the bot' }
  | { because: 'values do not fit'; problems: string[] }
  | { because: 'no open fault' }
  | { because: 'step not asked' }
  | { because: 'not a shift start'; at: number };

/** Whether `accept` must be given the line's log: to amend it, to compare with what was told of the same time. */
export function needsLog(line: LineState, telling: Telling, at: number): boolean {
  const last = line.last[telling.kind];
  const near = last !== undefined && Math.abs(at - last.at) <= sameTellingMs;
  return telling.kind === 'amended' || at < line.latestAt || near;
}

/** A clinician's decision holds this long at most; one for longer is asked for anew. */
const decisionMs = 72 * hourMs;

export type Verdict = { take: Entry } | { refuse: Refusal } | { already: Done } | { ask: Question };

/** Whether a time told is one that can be believed: not in the future, not too long ago. */
export function checkTime(at: number, now: number, backMs = backDateMs): Refusal | null {
  if (at > now + futureToleranceMs) return { because: 'in the future', at, now };
  if (at < now - backMs) return { because: 'too long ago', at, earliest: now - backMs };
  return null;
}

/**
 * Whether a telling about a line is taken into its log, as things stand. `log` is needed where `needsLog` says so.
 * The same thing told again within a minute, by the same or another person, makes no second entry; a value that only the
 * later telling gives is added to the first by an amendment.
 */
export function accept(
  line: LineState,
  ward: WardState,
  telling: Telling,
  head: EntryHead,
  log: readonly Entry[] = [],
): Verdict {
  const refuse = (refusal: Refusal): Verdict => ({ refuse: refusal });
  const now = head.told;
  const whole = withUsualVolume(telling, ward.policy, line.patient.weightKg);
  const entry = { ...head, ...whole } as Entry;
  const time = checkTime(head.at, now);
  if (time) return refuse(time);
  const { inError } = line;
  const isBack = telling.kind === 'amended' && telling.body.target === inError?.entry;
  if (inError && !isBack) return refuse({ because: 'registered in error', at: inError.at, by: inError.by });
  if (head.at < line.placed.at)
    return refuse({ because: 'before placing', at: head.at, placedAt: line.placed.at });
  const standing = checkStanding(line, telling.kind, head.at);
  if (standing) return refuse(standing);
  if (wantsTransducer(telling) && wasCappedAt(line, head.at)) return refuse({ because: 'no transducer' });
  const before = toldAlready(log, telling, head);
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
  const settled = settledAlready(line, ward, telling, now);
  if (settled) return settled;

  switch (telling.kind) {
    case 'waived':
      if (!mayDecide(ward, head.by, now)) return refuse({ because: 'clinician only' });
      if (telling.body.until > now + decisionMs)
        return refuse({ because: 'decided for too long', latest: now + decisionMs });
      break;
    case 'claimed':
      for (const [kind, dueAt] of telling.body.duties) {
        const held = claimOn(line.marks[kind] ?? {});
        if (held && held.by !== head.by && held.until > now && concernsDuty(kind, held, dueAt)) {
          return refuse({ because: 'claimed already', by: held.by, until: held.until });
        }
      }
      break;
    case 'snoozed': {
      for (const [kind, dueAt] of telling.body.duties) {
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
      if (telling.body.mode === line.flushMode && line.last.flushModeChanged?.by === head.by) {
        const { at } = line.last.flushModeChanged;
        if (now - at <= pressedAgainMs) return { already: line.last.flushModeChanged };
      }
      if (telling.body.mode === line.flushMode)
        return refuse({ because: 'mode as before', mode: line.flushMode });
      break;
    case 'reading': {
      const refusal = checkReading(telling.body);
      if (refusal) return refuse(refusal);
      break;
    }
    case 'faultOpened': {
      const open = openFault(line, telling.body.sign);
      if (open) return { already: { at: open.at, by: open.by, entry: open.entry } };
      break;
    }
    case 'faultStep': {
      const verdict = checkStep(line, telling.body);
      if (verdict) return verdict;
      break;
    }
    case 'faultClosed': {
      const verdict = checkClosing(line, telling.body, head);
      if (verdict) return verdict;
      break;
    }
    case 'assigned': {
      const { from } = telling.body;
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
      if (isCapped(line) && !telling.body.flushed) return { already: line.last.capped ?? line.placed };
      break;
    case 'leftWard':
    case 'arrived':
    case 'returned': {
      const verdict = checkMove(line, telling, now);
      if (verdict) return verdict;
      break;
    }
    case 'targetsSet': {
      const { until } = telling.body;
      if (!mayDecide(ward, head.by, now)) return refuse({ because: 'clinician only' });
      if (!hasTargets(telling.body)) return refuse({ because: 'no targets' });
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

/** Whether a telling speaks of a transducer, of its trace, or of a source that runs into it. */
function wantsTransducer(telling: Telling): boolean {
  if (telling.kind === 'faultOpened') return telling.body.sign !== 'blocked';
  if (telling.kind === 'flushModeChanged') return telling.body.mode === 'continuous';
  if (telling.kind === 'sourceChanged')
    return telling.body.newSet || telling.body.source.rateMlPerH !== undefined;
  return ['zeroed', 'levelled', 'fastFlushTested', 'reading'].includes(telling.kind);
}

/** A step of a move is taken where it changes something: the same one told again is the one that stands. */
function checkMove(
  { away, last }: LineState,
  { kind, body }: TellingOf<'leftWard'> | TellingOf<'arrived'> | TellingOf<'returned'>,
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

/** After removal a line takes only what follows it up; what happened before it came out may still be told late. */
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
function spokenOf(telling: Telling): readonly (readonly [DutyKind, number])[] {
  if (telling.kind === 'claimed' || telling.kind === 'snoozed') return telling.body.duties;
  if (telling.kind === 'waived') return [[telling.body.duty, telling.body.dueAt]];
  return telling.kind === 'noted' && telling.body.cannot ? [telling.body.cannot] : [];
}

/**
 * "Later", "cannot", a claim or a waiver pressed on an old message, when all it speaks of is done: the answer is who did
 * it. Were it taken, it would silence the next duty of its kind. A duty due within a round's minutes is spoken of still.
 */
function settledAlready(line: LineState, ward: WardState, telling: Telling, now: number): Verdict | null {
  const asked = spokenOf(telling).map(([kind, dueAt]) => ({ lineId: line.id, kind, dueAt }));
  if (asked.length === 0) return null;
  const soon = now + ward.policy.roundMin * minuteMs;
  if (asked.some((one) => dutyStatus(line, ward.policy, one, soon, now).is === 'open')) return null;
  for (const one of asked) {
    const status = dutyStatus(line, ward.policy, one, one.dueAt, now);
    if (status.is === 'done') return { already: status.done };
    if (status.is === 'over' && isClinicians(one.kind)) return { refuse: { because: 'told anew' } };
    if (status.is === 'line out') {
      return { refuse: { because: 'line out', removedAt: status.done.at, by: status.done.by } };
    }
  }
  return null;
}

/** A step is taken when it answers what its fault asks now; the same answer once more is the one that stands. */
function checkStep(line: LineState, { step, answer }: TellingOf<'faultStep'>['body']): Verdict | null {
  const fault = openFault(line, signOfStep(step));
  if (!fault) return { refuse: { because: 'no open fault' } };
  const asked = nextQuestion(fault.sign, fault.steps);
  if (asked.is === 'ask' && asked.step === step && asked.answers.includes(answer)) return null;
  const stands = fault.steps.some((one) => one.step === step && one.answer === answer);
  return stands && line.last.faultStep
    ? { already: line.last.faultStep }
    : { refuse: { because: 'step not asked' } };
}

/** Closing asks for an open fault; by the path's own end, for one whose path has ended so. */
function checkClosing(
  line: LineState,
  { resolved, sign, byPath }: TellingOf<'faultClosed'>['body'],
  { by, told }: EntryHead,
): Verdict | null {
  const open = line.faults.filter((fault) => fault.closedAt === null && (sign ?? fault.sign) === fault.sign);
  if (open.length === 0) {
    const last = line.faults.findLast((fault) => (sign ?? fault.sign) === fault.sign);
    const closed = line.last.faultClosed;
    const isAgain = closed?.by === by && told - closed.at <= pressedAgainMs && last?.resolved === resolved;
    return isAgain ? { already: closed } : { refuse: { because: 'no open fault' } };
  }
  if (!byPath) return null;
  const hasEnded = open.some((fault) => {
    const end = nextQuestion(fault.sign, fault.steps);
    return end.is === 'end' && end.resolved === resolved;
  });
  return hasEnded ? null : { refuse: { because: 'step not asked' } };
}

function checkReading({ sapMmHg, dapMmHg, mapMmHg }: TellingOf<'reading'>['body']): Refusal | null {
  if (dapMmHg > sapMmHg) return { because: 'diastolic above systolic' };
  if (mapMmHg !== undefined && (mapMmHg > sapMmHg || mapMmHg < dapMmHg)) return { because: 'mean outside' };
  return null;
}

/** Entries the bot wrote say what readers were told; they are not a person's to put right. */
const botKinds: readonly EntryKind[] = ['nudged', 'escalated'];

function checkAmendment(
  line: LineState,
  ward: WardState,
  entry: EntryOf<'amended'>,
  log: readonly Entry[],
): Refusal | null {
  const { target, at, strike, body } = entry.body;
  const original = log[target - 1];
  if (original === undefined) return { because: 'no such entry', target };
  if (botKinds.includes(original.kind)) return { because: 'written by the bot' };
  if (original.kind === 'placed' && strike !== undefined) return toldSince(log, entry.body.seen ?? 1);
  // Undoing an amendment strikes it; it has no time or values of its own to put right.
  if (original.kind === 'amended' && strike === undefined) return { because: 'no such entry', target };
  if (speaksOfDecision(original, log) && !mayDecide(ward, entry.by, entry.told))
    return { because: 'clinician only' };
  if (at !== undefined) {
    const time = checkTime(at, entry.told, original.kind === 'placed' ? placingBackDateMs : backDateMs);
    if (time) return time;
  }
  if (body !== undefined) {
    const problems = problemsOf(original, body);
    if (problems.length > 0) return { because: 'values do not fit', problems };
  }
  const decided = (body as Partial<TellingOf<'placed'>['body']> | undefined)?.screening?.override;
  const isNew = decided !== undefined && decided.at !== line.screening?.override?.at;
  if (original.kind === 'placed' && isNew && !mayDecide(ward, decided.clinician, entry.told))
    return { because: 'clinician only' };
  const longest = { ...original.body, ...body } as { until?: unknown };
  if (original.kind === 'targetsSet' && Number(longest.until) > original.told + longestTargetsMs)
    return { because: 'decided for too long', latest: original.told + longestTargetsMs };
  if (original.kind === 'waived' && Number(longest.until) > original.told + decisionMs)
    return { because: 'decided for too long', latest: original.told + decisionMs };
  const after = effectiveEntries([...log, entry]);
  const placedAt = after.find(({ number }) => number === 1)?.entry.at ?? line.placed.at;
  const first = after.find(({ number }) => number !== 1)?.entry.at ?? placedAt;
  if (first < placedAt) return { because: 'before placing', at: first, placedAt };
  if (line.removed && after.filter(({ entry: { kind } }) => kind === 'removed').length > 1)
    return { because: 'out twice', removedAt: line.removed.at, by: line.removed.by };
  const changed = after.find(({ number }) => number === target)?.entry;
  return changed?.kind === 'reading' ? checkReading(changed.body) : null;
}

/** What people told of a line after its first `seen` entries, which whoever strikes its placing has not seen. */
function toldSince(log: readonly Entry[], seen: number): Refusal | null {
  const since = careOf(log).filter(({ number }) => number > seen);
  const latest = since.at(-1)?.entry;
  return latest
    ? { because: 'told of since', count: since.length, at: latest.at, by: latest.by, kind: latest.kind }
    : null;
}

/** What people told of a line after its placing and counts still: all that is lost with it where it was registered in error. */
export function careOf(log: readonly Entry[]): EffectiveEntry[] {
  return effectiveEntries(log).filter(
    ({ number, entry }) => number !== 1 && !botKinds.includes(entry.kind) && !moving.includes(entry.kind),
  );
}

/** What only moves a reminder, or says whom it goes to. */
const moving: readonly EntryKind[] = ['claimed', 'snoozed', 'assigned'];

/** What a clinician alone may tell. */
const decisions: readonly EntryKind[] = ['waived', 'targetsSet', 'targetsEnded'];

/** A decision, or an amendment of one: only a clinician may lengthen, shorten, take back or bring back what one gave. */
function speaksOfDecision(original: Entry, log: readonly Entry[]): boolean {
  if (original.kind !== 'amended') return decisions.includes(original.kind);
  const target = log[original.body.target - 1];
  return target !== undefined && speaksOfDecision(target, log);
}

/** A person's own "later" or claim may be taken back, not made longer. */
const onlyStruck: readonly EntryKind[] = ['claimed', 'snoozed'];

function problemsOf(original: Entry, body: Record<string, unknown>): string[] {
  if (onlyStruck.includes(original.kind)) return Object.keys(body);
  const parsed = bodySchema(original.kind).safeParse(withValues(original.body, body));
  return parsed.success ? [] : parsed.error.issues.map(({ path }) => path.join(' '));
}
