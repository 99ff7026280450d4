import { isClosed } from '../domain/duties/duties-of-line.ts';
import { lineWakeAt } from '../domain/ladder/plan-wake.ts';
import { accept, needsLog, type Refusal } from '../domain/record/accept.ts';
import type { Question } from '../domain/record/asked-first.ts';
import type { Entry, EntryHead, Telling, TellingOf } from '../domain/record/entry.ts';
import { foldNext } from '../domain/record/fold-line.ts';
import type { Done, LineState } from '../domain/record/line-state.ts';
import type { WardState } from '../domain/ward/ward-state.ts';
import type { AppDeps } from './app-deps.ts';
import { callFor } from './call-for.ts';
import type { LineChange, Post } from './ports.ts';

/** Who means to tell something, from which surface, and when it happened (ms; now when absent). */
export interface Intent {
  wardId: string;
  by: string;
  via: EntryHead['via'];
  at?: number;
  /** The surface's own key of this very press or submit: told twice, it is written once. */
  once?: string;
}

/** What became of one telling. */
export type Told = { lineId: string; telling: Telling } & (
  | { is: 'taken'; entry: Entry; number: number }
  /** `isDoublePress`: the same person told it within a second. */
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
  told: Told[];
  /** The same press or submit was written before; nothing was written now. */
  repeat: boolean;
}

/** Pressed twice within this by one person, it was one press, ms. */
const doublePressMs = 1_000;

/** Of many who write one line at once one gets through in each round, so this many may do so. */
const attempts = 40;

/**
 * Takes tellings about one or several lines into the record, all in one change: those that can be taken are, the others
 * come back with why not. When somebody else writes the same line meanwhile, everything is decided again on what is
 * there then. `posts` may ask for messages with what was taken. Throws `RecordUnavailable` when the record cannot be reached; then nothing was written.
 */
export async function tellLines(
  deps: AppDeps,
  intent: Intent,
  items: readonly { lineId: string; telling: Telling }[],
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
      const log = logs.get(id) ?? (await record.readLog(intent.wardId, id));
      logs.set(id, log);
      return [...log, ...(added.get(id) ?? [])];
    };
    const told: Told[] = [];
    for (const { lineId, telling } of items) {
      const line = lines.get(lineId);
      if (!line) {
        told.push({ lineId, telling, is: 'no such line' });
        continue;
      }
      const head: EntryHead = { at: intent.at ?? now, told: now, by: intent.by, via: intent.via };
      const log = needsLog(line, telling, head.at) ? await logOf(lineId) : [];
      const verdict = accept(line, ward, telling, head, log);
      const stands = 'refuse' in verdict ? ownRemoval(line, telling, intent.by) : null;
      const already = (done: Done): Told => ({
        lineId,
        telling,
        is: 'already',
        done,
        at: head.at,
        isDoublePress: done.by === head.by && Math.abs(head.at - done.at) <= doublePressMs,
      });
      if (stands) told.push(already(stands));
      else if ('refuse' in verdict) told.push({ lineId, telling, is: 'refused', refusal: verdict.refuse });
      else if ('already' in verdict) told.push(already(verdict.already));
      else if ('ask' in verdict)
        told.push({ lineId, telling, is: 'asked', question: verdict.ask, at: head.at });
      else {
        const after = foldNext(line, verdict.take, () => log);
        lines.set(lineId, after);
        added.set(lineId, [...(added.get(lineId) ?? []), verdict.take]);
        told.push({ lineId, telling, is: 'taken', entry: verdict.take, number: after.version });
      }
    }
    const outcome: Outcome = { ward, lines, told, repeat: false };
    if (added.size === 0) {
      const isAsked = told.some(({ is }) => is === 'asked');
      return isAsked && (await wasWritten(deps, intent, ward))
        ? { ...outcome, told: [], repeat: true }
        : outcome;
    }

    const wakes: Record<string, number | null> = {};
    const changes: LineChange[] = [];
    for (const [id, entries] of added) {
      const after = lines.get(id);
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
    const committed = await record.commit(intent.wardId, {
      ...(intent.once === undefined ? {} : { once: intent.once }),
      lines: changes,
      // The wake-ups hang on the ward's policy: they are not set by one that was changed meanwhile.
      ward: { expected: ward.version, entries: [], after: ward },
      wakes,
      posts: posts(outcome, now),
    });
    if (committed.is === 'already') return { ...outcome, told: [], repeat: true };
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
 * A removal refuses every later one. Told again by the same person in the same words, as a form is that is pressed again
 * after the record was slow to answer, it is the one that stands and not a mistake.
 */
function ownRemoval({ removed, last }: LineState, telling: Telling, by: string): Done | null {
  if (telling.kind !== 'removed' || removed?.by !== by) return null;
  const words = ({ reason, tipWhole, pieceFound, finding = {} }: TellingOf<'removed'>['body']) =>
    JSON.stringify([
      reason,
      tipWhole,
      pieceFound,
      Object.entries(finding).toSorted(([a], [b]) => (a < b ? -1 : 1)),
    ]);
  return words(removed) === words(telling.body) ? (last.removed ?? null) : null;
}
