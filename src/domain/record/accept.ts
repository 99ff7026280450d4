import { concerns, hourMs, minuteMs } from '../duties/duty.ts';
import { laterMinOf } from '../policy/ward-policy.ts';
import { mayDecide } from '../ward/on-call.ts';
import type { WardState } from '../ward/ward-state.ts';
import { bodySchema, type Entry, type EntryHead, type EntryKind, type Telling } from './entry.ts';
import type { Done, LineState } from './line-state.ts';

/** Furthest into the future a time may lie: clocks and fingers differ a little. */
export const futureToleranceMs = 2 * minuteMs;
/** How late a thing may be told. */
export const backDateMs = 24 * hourMs;
/** How long ago a line may have been placed when it is registered: a ward that begins with the bot has lines in already. */
export const placingBackDateMs = 14 * 24 * hourMs;
/** Two people telling the same thing within this make one entry. */
export const sameTellingMs = minuteMs;

/** Why a telling is not taken. Each carries what its answer needs to say what to do instead. */
export type Refusal =
  | { because: 'in the future'; at: number; now: number }
  | { because: 'too long ago'; at: number; earliest: number }
  | { because: 'before placing'; at: number; placedAt: number }
  | { because: 'line out'; removedAt: number; by: string }
  | { because: 'line still in' }
  | { because: 'clinician only' }
  | { because: 'cannot be put off' }
  | { because: 'put off once already'; until: number }
  | { because: 'claimed already'; by: string; until: number }
  | { because: 'mode as before'; mode: 'manual' | 'continuous' }
  | { because: 'diastolic above systolic' }
  | { because: 'mean outside' }
  | { because: 'no such entry'; target: number }
  | { because: 'placing cannot be struck' }
  | { because: 'written by the bot' }
  | { because: 'values do not fit'; problems: string[] };

export type Verdict = { take: Entry } | { refuse: Refusal } | { already: Done };

/** Whether a time told is one that can be believed: not in the future, not too long ago. */
export function checkTime(at: number, now: number, backMs = backDateMs): Refusal | null {
  if (at > now + futureToleranceMs) return { because: 'in the future', at, now };
  if (at < now - backMs) return { because: 'too long ago', at, earliest: now - backMs };
  return null;
}

/**
 * Whether a telling about a line is taken into its log, as things stand. `log` is asked for only by an amendment.
 * The same thing told again within a minute, by the same or another person, makes no second entry.
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
  const entry = { ...head, ...telling } as Entry;
  const time = checkTime(head.at, now);
  if (time) return refuse(time);
  if (head.at < line.placed.at) return refuse({ because: 'before placing', at: head.at, placedAt: line.placed.at });
  const standing = checkStanding(line, telling.kind, head.at);
  if (standing) return refuse(standing);
  const already = toldAlready(line, telling, head);
  if (already) return { already };

  switch (telling.kind) {
    case 'waived':
      if (!mayDecide(ward, head.by, now)) return refuse({ because: 'clinician only' });
      break;
    case 'claimed':
      for (const [kind, dueAt] of telling.body.duties) {
        const held = line.marks[kind]?.claimed;
        if (held && held.by !== head.by && held.until > now && concerns(held, dueAt)) {
          return refuse({ because: 'claimed already', by: held.by, until: held.until });
        }
      }
      break;
    case 'snoozed': {
      for (const [kind, dueAt] of telling.body.duties) {
        if (laterMinOf(ward.policy, kind) === 0) return refuse({ because: 'cannot be put off' });
        const before = line.marks[kind]?.snoozed;
        if (before?.dueAt === dueAt) return refuse({ because: 'put off once already', until: before.until });
      }
      break;
    }
    case 'flushModeChanged':
      if (telling.body.mode === line.flushMode) return refuse({ because: 'mode as before', mode: line.flushMode });
      break;
    case 'reading': {
      const { sapMmHg, dapMmHg, mapMmHg } = telling.body;
      if (dapMmHg > sapMmHg) return refuse({ because: 'diastolic above systolic' });
      if (mapMmHg !== undefined && (mapMmHg > sapMmHg || mapMmHg < dapMmHg)) return refuse({ because: 'mean outside' });
      break;
    }
    case 'amended':
      return acceptAmendment(line, entry as Entry & { kind: 'amended' }, log);
    default:
  }
  return { take: entry };
}

/** After removal a line takes only what follows it up; what happened before it came out may still be told late. */
function checkStanding(line: LineState, kind: EntryKind, at: number): Refusal | null {
  const followUp = kind === 'pulseChecked' || kind === 'holdEnded';
  if (!line.removed) return followUp ? { because: 'line still in' } : null;
  const always: readonly EntryKind[] = ['amended', 'noted', 'nudged', 'escalated', 'claimed', 'snoozed', 'waived', 'assigned'];
  if (followUp || always.includes(kind)) return null;
  if (kind !== 'removed' && at < line.removed.at) return null;
  return { because: 'line out', removedAt: line.removed.at, by: line.removed.by };
}

/** Tellings that say the same of a line however they are worded; values, where both give them, must agree. */
function toldAlready(line: LineState, telling: Telling, head: EntryHead): Done | null {
  const last = line.last[telling.kind];
  if (!last || Math.abs(head.at - last.at) > sameTellingMs || head.via === 'bot') return null;
  switch (telling.kind) {
    case 'zeroed':
    case 'flushed':
    case 'sourceChecked':
    case 'redressed':
    case 'disturbed':
    case 'flushModeChanged':
      return last;
    case 'fastFlushTested':
      return line.test?.verdict === telling.body.verdict ? last : null;
    case 'levelled':
      return line.level?.belowHeartCm === (telling.body.belowHeartCm ?? 0) ? last : null;
    case 'siteChecked':
      return sameValues(line.siteFinding?.finding, telling.body.finding) ? last : null;
    case 'pulseChecked':
      return line.pulse?.pulse === telling.body.pulse ? last : null;
    case 'reading':
      return line.reading?.sapMmHg === telling.body.sapMmHg && line.reading.dapMmHg === telling.body.dapMmHg ? last : null;
    case 'sampled':
      return line.samples.at(-1)?.volumeMl === telling.body.volumeMl ? last : null;
    default:
      return null;
  }
}

function sameValues(a: object | undefined, b: object): boolean {
  const set = (o: object) => JSON.stringify(Object.entries(o).filter(([, value]) => value).sort());
  return a !== undefined && set(a) === set(b);
}

/** Entries the bot wrote say what readers were told; they are not a person's to put right. */
const botKinds: readonly EntryKind[] = ['nudged', 'escalated'];

function acceptAmendment(line: LineState, entry: Entry & { kind: 'amended' }, log: readonly Entry[]): Verdict {
  const { target, at, strike, body } = entry.body;
  const original = log[target - 1];
  if (original === undefined) return { refuse: { because: 'no such entry', target } };
  if (botKinds.includes(original.kind)) return { refuse: { because: 'written by the bot' } };
  if (original.kind === 'placed' && strike !== undefined) return { refuse: { because: 'placing cannot be struck' } };
  if (at !== undefined) {
    const time = checkTime(at, entry.told, original.kind === 'placed' ? placingBackDateMs : backDateMs);
    if (time) return { refuse: time };
    if (original.kind === 'placed') {
      const first = Math.min(...log.slice(1).filter(({ kind }) => kind !== 'amended').map((other) => other.at));
      if (at > first) return { refuse: { because: 'before placing', at: first, placedAt: at } };
    } else if (at < line.placed.at) {
      return { refuse: { because: 'before placing', at, placedAt: line.placed.at } };
    }
  }
  if (body !== undefined) {
    const parsed = bodySchema(original.kind).safeParse({ ...original.body, ...body });
    if (!parsed.success) {
      return { refuse: { because: 'values do not fit', problems: parsed.error.issues.map(({ path }) => path.join(' ')) } };
    }
  }
  return { take: entry };
}
