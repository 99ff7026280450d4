import { accept, needsLog } from '../domain/accept/accept.ts';
import type { Question } from '../domain/accept/asked-first.ts';
import type { Refusal } from '../domain/accept/refusal.ts';
import { linesOfAnimal, ofAnimal, ownLine, rejoined } from '../domain/animal/animal.ts';
import { isClosed } from '../domain/duties/duties-of-line.ts';
import { foldLine, foldNext } from '../domain/fold/fold-line.ts';
import { lineWakeAt } from '../domain/ladder/plan-wake.ts';
import type { WardPolicy } from '../domain/policy/ward-policy.ts';
import type { DraftOf, Entry, EntryDraft, EntryHead } from '../domain/record/entry.ts';
import type { Done, LineState } from '../domain/record/line-state.ts';
import type { WardState } from '../domain/ward/ward-state.ts';
import { animalDrafts } from './animal-drafts.ts';
import type { AppDeps } from './app-deps.ts';
import { callFor } from './call-for.ts';
import type { LineChange, Post } from './ports.ts';

/** Who means to record something, from which surface, and when it happened (ms; now when absent). */
export interface Intent {
  wardId: string;
  by: string;
  via: EntryHead['via'];
  at?: number;
  /** The surface's own key of this very press or submit: sent twice, it is written once. */
  once?: string;
}

/** What became of one draft entry. */
export type DraftResult = { lineId: string; draft: EntryDraft } & (
  | { is: 'taken'; entry: Entry; number: number }
  /** `isDoublePress`: the same person recorded it within a second. */
  | { is: 'already'; done: Done; at: number; isDoublePress: boolean }
  /** Nothing was written yet: somebody must say yes to `question` first. `at`: when it happened, ms. */
  | { is: 'asked'; question: Question; at: number }
  | { is: 'refused'; refusal: Refusal }
  | { is: 'no such line' }
);

export interface Outcome {
  ward: WardState;
  /** The lines as they are afterwards, by id. */
  lines: Map<string, LineState>;
  results: DraftResult[];
  /** The same press or submit was written before; nothing was written now. */
  repeat: boolean;
}

/** Pressed twice within this by one person, it was one press, ms. */
const doublePressMs = 1_000;

/** Of many who write one line at once one gets through in each round, so this many may do so. */
const attempts = 40;

/**
 * Takes drafts about one or several lines into the record, all in one change: those that can be taken are, the others
 * come back with why not. When somebody else writes the same line meanwhile, everything is decided again on what is
 * there then. `posts` may ask for messages with what was taken. Throws `RecordUnavailable` when the record cannot be reached; then nothing was written.
 */
export async function recordOnLines(
  deps: AppDeps,
  intent: Intent,
  items: readonly { lineId: string; draft: EntryDraft }[],
  posts: (outcome: Outcome, now: number) => Post[] = () => [],
): Promise<Outcome> {
  const { record, clock, watch } = deps;
  for (let attempt = 1; ; attempt++) {
    const now = clock.now();
    const ids = [...new Set(items.map(({ lineId }) => lineId))];
    const [ward, known] = await Promise.all([
      record.readWardState(intent.wardId),
      record.readLines(intent.wardId, ids),
    ]);
    const before = new Map(known.map((line) => [line.id, line]));
    const lines = new Map(before);
    const added = new Map<string, Entry[]>();
    const logs = new Map<string, readonly Entry[]>();
    const logOf = async (id: string) => {
      // What somebody else recorded since the line was read is not of this attempt: the commit finds it, and all is decided again.
      const log = logs.get(id) ?? (await record.readLog(intent.wardId, id)).slice(0, before.get(id)?.version);
      logs.set(id, log);
      return [...log, ...(added.get(id) ?? [])];
    };
    const results: DraftResult[] = [];
    for (const { lineId, draft } of items) {
      const line = lines.get(lineId);
      if (!line) {
        results.push({ lineId, draft, is: 'no such line' });
        continue;
      }
      const head: EntryHead = { at: intent.at ?? now, told: now, by: intent.by, via: intent.via };
      const log = needsLog(line, draft, head.at) ? await logOf(lineId) : [];
      const verdict = accept(line, ward, draft, head, log);
      const stands = 'refuse' in verdict ? ownRemoval(line, draft, intent.by) : null;
      const already = (done: Done): DraftResult => ({
        lineId,
        draft,
        is: 'already',
        done,
        at: head.at,
        isDoublePress: done.by === head.by && Math.abs(head.at - done.at) <= doublePressMs,
      });
      if (stands) results.push(already(stands));
      else if ('refuse' in verdict) results.push({ lineId, draft, is: 'refused', refusal: verdict.refuse });
      else if ('already' in verdict) results.push(already(verdict.already));
      else if ('ask' in verdict)
        results.push({ lineId, draft, is: 'asked', question: verdict.ask, at: head.at });
      else {
        const after = rejoined(
          foldNext(ownLine(line), verdict.take, () => log),
          line,
        );
        lines.set(lineId, after);
        added.set(lineId, [...(added.get(lineId) ?? []), verdict.take]);
        results.push({ lineId, draft, is: 'taken', entry: verdict.take, number: after.version });
        for (const { id, entry } of animalDrafts(line, verdict.take, intent, now)) {
          const known = lines.get(id) ?? line.animal?.others.find((other) => other.id === id);
          if (!known) continue;
          if (!before.has(id)) before.set(id, known);
          const all = [...(await logOf(id)), entry];
          lines.set(id, rejoined(foldLine(id, all), known));
          added.set(id, [...(added.get(id) ?? []), entry]);
        }
      }
    }
    // Two lines of one animal recorded at once: each is answered with what the other has come to.
    const joined = new Map([...lines].map(([id, line]) => [id, withLatest(line, lines)]));
    const outcome: Outcome = { ward, lines: joined, results, repeat: false };
    if (added.size === 0) {
      const isAsked = results.some(({ is }) => is === 'asked');
      return isAsked && (await wasWritten(deps, intent, ward))
        ? { ...outcome, results: [], repeat: true }
        : outcome;
    }

    const wakes: Record<string, number | null> = {};
    const changes: LineChange[] = [];
    for (const [id, entries] of added) {
      const after = joined.get(id);
      if (!after) continue;
      wakes[id] = lineWakeAt(after, ward, now);
      changes.push({
        id,
        expected: before.get(id)?.version ?? 0,
        entries,
        after,
        listed: !isClosed(after, ward.policy, now),
      });
    }
    for (const other of otherLinesTouched(joined, added, ward.policy, now)) {
      // What is owed to them can follow from what was recorded of this one: a species put right, a bleeding disorder found.
      wakes[other.id] = lineWakeAt(other, ward, now);
      const expected = other.version;
      changes.push({ id: other.id, expected, entries: [], after: other, listed: true, touch: true });
    }
    const isPlacingAmended = results.some(
      ({ is, draft }) => is === 'taken' && draft.kind === 'amended' && draft.body.target === 1,
    );
    const committed = await record.commit(intent.wardId, {
      ...(intent.once === undefined ? {} : { once: intent.once }),
      // A line may have become another animal's: every message that named its totals is looked at.
      ...(isPlacingAmended ? { touchAll: true } : {}),
      lines: changes,
      // The wake-ups hang on the ward's policy: they are not set by one that was changed meanwhile.
      ward: { expected: ward.version, entries: [], after: ward },
      wakes,
      posts: posts(outcome, now),
    });
    if (committed.is === 'already') return { ...outcome, results: [], repeat: true };
    if (committed.is === 'conflict') {
      watch.conflict();
      if (attempt < attempts) continue;
      throw new Error(`line log kept changing: ${attempts} attempts`);
    }
    for (const entries of added.values()) for (const { kind } of entries) watch.entryAccepted(kind);
    await callFor(deps.alarm, intent.wardId, committed.armed);
    return outcome;
  }
}

/** A line whose animal's other lines are as they have come to be. */
function withLatest(line: LineState, lines: ReadonlyMap<string, LineState>): LineState {
  const { animal } = line;
  if (!animal?.others.some(({ id }) => lines.has(id))) return line;
  const others = animal.others.map((one) => ownLine(lines.get(one.id) ?? one));
  return ofAnimal(ownLine(line), animal.id, others);
}

/** The other lines of the animals concerned that stand on the ward's list, with what follows for them. */
function otherLinesTouched(
  lines: ReadonlyMap<string, LineState>,
  added: ReadonlyMap<string, readonly Entry[]>,
  policy: WardPolicy,
  now: number,
): LineState[] {
  const touched = new Map<string, LineState>();
  for (const id of added.keys()) {
    const line = lines.get(id);
    const all = line ? linesOfAnimal(line) : [];
    for (const other of all.filter((one) => !added.has(one.id) && !isClosed(one, policy, now))) {
      const rest = all.filter((one) => one.id !== other.id);
      touched.set(other.id, ofAnimal(other, line?.animal?.id ?? '', rest));
    }
  }
  return [...touched.values()];
}

/**
 * Whether this very press was written before: the platform delivers one again whose answer it lost, and nobody must be asked
 * of their own flush. A change of a state that no ward is in writes nothing; it only tells whether the key is known.
 */
async function wasWritten({ record }: AppDeps, intent: Intent, ward: WardState): Promise<boolean> {
  if (intent.once === undefined || intent.via === 'form') return false;
  const version = ward.version + 1_000_000;
  const committed = await record.commit(intent.wardId, {
    once: intent.once,
    lines: [],
    ward: { expected: version, entries: [], after: { ...ward, version } },
    wakes: {},
    posts: [],
  });
  return committed.is === 'already';
}

/**
 * A removal refuses every later one. Recorded again by the same person in the same words, as a form is that is pressed again
 * after the record was slow to answer, it is the one that stands and not a mistake.
 */
function ownRemoval({ removed, last }: LineState, draft: EntryDraft, by: string): Done | null {
  if (draft.kind !== 'removed' || removed?.by !== by) return null;
  const words = ({ reason, tipWhole, pieceFound, finding = {} }: DraftOf<'removed'>['body']) =>
    JSON.stringify([
      reason,
      tipWhole,
      pieceFound,
      Object.entries(finding).toSorted(([a], [b]) => (a < b ? -1 : 1)),
    ]);
  return words(removed) === words(draft.body) ? (last.removed ?? null) : null;
}
