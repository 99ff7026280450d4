import { linesOfAnimal, ofAnimal } from '../domain/animal/animal.ts';
import { isClosed } from '../domain/duties/duties-of-line.ts';
import { lineWakeAt } from '../domain/ladder/plan-wake.ts';
import type { WardPolicy } from '../domain/policy/ward-policy.ts';
import type { Entry } from '../domain/record/entry.ts';
import type { LineState } from '../domain/record/line-state.ts';
import type { WardState } from '../domain/ward/ward-state.ts';
import { movesOfOthers } from './animal-moves.ts';
import type { AppDeps } from './app-deps.ts';
import { callFor } from './call-for.ts';
import { type DraftResult, DraftsDecided, type Intent, type LineDraft } from './decide-drafts.ts';
import type { Change, LineChange, Post } from './ports.ts';

/** What became of drafts that somebody recorded, draft by draft, and how the ward stands afterwards. */
export interface Outcome {
  ward: WardState;
  /** The lines as they are afterwards, by id. */
  lines: Map<string, LineState>;
  results: DraftResult[];
  /** The same press or submit was written before; nothing was written now. */
  repeat: boolean;
}

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
  items: readonly LineDraft[],
  posts: (outcome: Outcome, now: number) => Post[] = () => [],
): Promise<Outcome> {
  const { record, clock, watch } = deps;
  for (let attempt = 1; attempt <= attempts; attempt++) {
    const now = clock.now();
    const ids = [...new Set(items.map(({ lineId }) => lineId))];
    const [ward, named] = await Promise.all([
      record.readWardState(intent.wardId),
      record.readLines(intent.wardId, ids),
    ]);
    const at = intent.at ?? now;
    const others = [...new Set(movesOfOthers(items, named, at).map(({ lineId }) => lineId))];
    const lines = [...named, ...(await record.readLines(intent.wardId, others))];
    const decided = new DraftsDecided(record, intent, { ward, lines, now });
    for (const item of items) await decided.decide(item);
    const taken = items.filter((_, index) => decided.results[index]?.is === 'taken');
    for (const item of movesOfOthers(taken, named, at)) await decided.decide(item);
    const { results, added } = decided;
    const outcome: Outcome = { ward, lines: decided.after(), results, repeat: false };
    const repeat: Outcome = { ...outcome, results: [], repeat: true };
    if (added.size === 0) {
      const isAsked = results.some(({ is }) => is === 'asked');
      return isAsked && (await wasWritten(deps, intent, ward)) ? repeat : outcome;
    }
    const change = { ...changeOf(decided, outcome, now), posts: posts(outcome, now) };
    const committed = await record.commit(intent.wardId, {
      ...(intent.once === undefined ? {} : { once: intent.once }),
      ...change,
    });
    if (committed.is === 'already') return repeat;
    if (committed.is === 'conflict') {
      watch.conflict();
      continue;
    }
    for (const entries of added.values()) for (const { kind } of entries) watch.entryAccepted(kind);
    await callFor(deps.alarm, intent.wardId, committed.armed);
    return outcome;
  }
  throw new Error(`line log kept changing: ${attempts} attempts`);
}

/** What is written of what was decided: the entries, the lines they leave, and when each has to be looked at next. */
function changeOf(
  decided: DraftsDecided,
  { ward, lines, results }: Outcome,
  now: number,
): Omit<Change, 'once' | 'posts'> {
  const wakes: Record<string, number | null> = {};
  const changes: LineChange[] = [];
  for (const [id, entries] of decided.added) {
    const after = lines.get(id);
    if (!after) continue;
    wakes[id] = lineWakeAt(after, ward, now);
    const listed = !isClosed(after, ward.policy, now);
    changes.push({ id, expected: decided.versionOf(id), entries, after, listed });
  }
  for (const other of otherLinesTouched(lines, decided.added, ward.policy, now)) {
    // What is owed to them can follow from what was recorded of this one: a species put right, a bleeding disorder found.
    wakes[other.id] = lineWakeAt(other, ward, now);
    const expected = other.version;
    changes.push({ id: other.id, expected, entries: [], after: other, listed: true, touch: true });
  }
  const isPlacingAmended = results.some(
    ({ is, draft }) => is === 'taken' && draft.kind === 'amended' && draft.body.target === 1,
  );
  return {
    // A line may have become another animal's: every message that named its totals is looked at.
    ...(isPlacingAmended ? { touchAll: true } : {}),
    lines: changes,
    // The wake-ups hang on the ward's policy: they are not set by one that was changed meanwhile.
    ward: { expected: ward.version, entries: [], after: ward },
    wakes,
  };
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
