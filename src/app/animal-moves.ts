import { linesOfAnimal } from '../domain/animal/animal.ts';
import { struckBy } from '../domain/record/effective-entries.ts';
import type { DraftOf, Entry, EntryDraft } from '../domain/record/entry.ts';
import type { LineState } from '../domain/record/line-state.ts';
import type { LineDraft } from './decide-drafts.ts';

/** Where the patient itself is. */
type Move = DraftOf<'leftWard'> | DraftOf<'arrived'> | DraftOf<'returned'>;
/** A patient leaves, arrives, is back or dies with every line it has. */
type OfAnimal = Move | DraftOf<'removed'>;

/**
 * The same moves for the animal's other lines, which go wherever it goes, and its death: recorded of one line alone, the ward would be
 * asked for the rest of them. Only those are given that it changes something of. `at`: when it happened, ms.
 */
export function movesOfOthers(
  items: readonly LineDraft[],
  lines: readonly LineState[],
  at: number,
): LineDraft[] {
  const named = new Set(items.map(({ lineId }) => lineId));
  const along = items.flatMap(({ lineId, draft }): LineDraft[] => {
    const line = lines.find(({ id }) => id === lineId);
    if (!line || !isOfAnimal(draft)) return [];
    // What the catheter looked like is one line's.
    const theirs: EntryDraft =
      draft.kind === 'removed' ? { kind: 'removed', body: { reason: 'death' } } : draft;
    return linesOfAnimal(line)
      .filter((other) => !named.has(other.id) && goesAlong(other, draft, at))
      .map((other) => ({ lineId: other.id, draft: theirs }));
  });
  // Two lines of one animal named at once have the same others.
  return along.filter(
    (one, index) =>
      along.findIndex(({ lineId, draft }) => lineId === one.lineId && draft.kind === one.draft.kind) ===
      index,
  );
}

function isOfAnimal(draft: EntryDraft): draft is OfAnimal {
  return isMove(draft) || (draft.kind === 'removed' && draft.body.reason === 'death');
}

/** Whether it says where the patient itself is. */
export function isMove(draft: EntryDraft): draft is Move {
  return draft.kind === 'leftWard' || draft.kind === 'arrived' || draft.kind === 'returned';
}

/** Whether the move says anything new of this line. One that is out stays where its limb was last recorded to be, until it is back. */
function goesAlong({ away, removed, inError, placed }: LineState, draft: OfAnimal, at: number): boolean {
  if (inError || placed.at > at) return false;
  if (draft.kind === 'removed') return removed === null;
  const isNamedAnew = draft.body.with !== undefined && draft.body.with !== away?.with;
  switch (draft.kind) {
    case 'leftWard':
      return removed === null && (away?.to !== draft.body.to || isNamedAnew);
    case 'arrived':
      return away !== null && (away.arrivedAt === null || isNamedAnew);
    case 'returned':
      return away !== null;
  }
}

/**
 * The same put right for the animal's other lines: of a move that was recorded of all of them at once, one alone would stay away, or
 * come back by itself. `log`: of the line that is put right; `others`: of the rest.
 */
export function movesPutRight(
  { body }: DraftOf<'amended'>,
  log: readonly Entry[],
  others: readonly { lineId: string; log: readonly Entry[] }[],
): LineDraft[] {
  const original = log[body.target - 1];
  const isDeath = original?.kind === 'removed' && original.body.reason === 'death' && body.body === undefined;
  if (!original || !(isDeath || speaksOfMove(original, log))) return [];
  const { kind, told, by } = original;
  return others.flatMap(({ lineId, log: theirs }): LineDraft[] => {
    const index = theirs.findIndex((one) => one.kind === kind && one.told === told && one.by === by);
    const twin = theirs[index];
    if (!twin || !(isDeath || speaksOfMove(twin, theirs)) || struckBy(theirs).has(index + 1)) return [];
    return [{ lineId, draft: { kind: 'amended', body: { ...body, target: index + 1 } } }];
  });
}

/** A move, or what was put right of one. */
export function speaksOfMove(entry: Entry, log: readonly Entry[]): boolean {
  if (entry.kind !== 'amended') return isMove(entry);
  const target = log[entry.body.target - 1];
  return target !== undefined && speaksOfMove(target, log);
}
