import { accept, needsLog } from '../domain/accept/accept.ts';
import type { Question } from '../domain/accept/asked-first.ts';
import type { Refusal } from '../domain/accept/refusal.ts';
import { ofAnimal, ownLine, rejoined } from '../domain/animal/animal.ts';
import { foldLine, foldNext } from '../domain/fold/fold-line.ts';
import { amendedBy } from '../domain/record/effective-entries.ts';
import type { DraftOf, Entry, EntryDraft, EntryHead } from '../domain/record/entry.ts';
import type { Done, LineState } from '../domain/record/line-state.ts';
import type { WardState } from '../domain/ward/ward-state.ts';
import { animalDrafts } from './animal-drafts.ts';
import type { WardRecord } from './ports.ts';

/** Who means to record something, from which surface, and when it happened (ms; now when absent). */
export interface Intent {
  wardId: string;
  by: string;
  via: EntryHead['via'];
  at?: number;
  /** The surface's own key of this very press or submit: sent twice, it is written once. */
  once?: string;
}

/** What became of one draft entry. `amended`: what an amendment struck or put right, as it counted before it was struck or counts now. */
export type DraftResult = { lineId: string; draft: EntryDraft } & (
  | { is: 'taken'; entry: Entry; number: number; amended?: Entry }
  /** `isDoublePress`: the same person recorded it within a second. */
  | { is: 'already'; done: Done; at: number; isDoublePress: boolean }
  /** Nothing was written yet: somebody must say yes to `question` first. `at`: when it happened, ms. */
  | { is: 'asked'; question: Question; at: number }
  | { is: 'refused'; refusal: Refusal }
  | { is: 'no such line' }
);

/** Pressed twice within this by one person, it was one press, ms. */
const doublePressMs = 1_000;

/** A draft about a line. */
export interface LineDraft {
  lineId: string;
  draft: EntryDraft;
}

/** What was read of the ward, and when (ms). */
export interface ReadWard {
  ward: WardState;
  lines: readonly LineState[];
  now: number;
}

/**
 * Decides drafts one after another, each on what the ones before it came to. Nothing is written: what would be stands in
 * `added` by line, what the lines would be in `after()`.
 */
export class DraftsDecided {
  readonly results: DraftResult[] = [];
  readonly added = new Map<string, Entry[]>();
  readonly #record: Pick<WardRecord, 'readLog'>;
  readonly #intent: Intent;
  readonly #ward: WardState;
  readonly #now: number;
  readonly #before: Map<string, LineState>;
  readonly #lines: Map<string, LineState>;
  readonly #logs = new Map<string, readonly Entry[]>();

  constructor(record: Pick<WardRecord, 'readLog'>, intent: Intent, { ward, lines, now }: ReadWard) {
    this.#record = record;
    this.#intent = intent;
    this.#ward = ward;
    this.#now = now;
    this.#before = new Map(lines.map((line) => [line.id, line]));
    this.#lines = new Map(this.#before);
  }

  /** The lines as they would be. Two of one animal recorded at once: each with what the other has come to. */
  after(): Map<string, LineState> {
    return new Map([...this.#lines].map(([id, line]) => [id, withLatest(line, this.#lines)]));
  }

  /** The version of a line as it was read; 0 where it was not there. */
  versionOf(id: string): number {
    return this.#before.get(id)?.version ?? 0;
  }

  async decide({ lineId, draft }: LineDraft): Promise<void> {
    const line = this.#lines.get(lineId);
    if (!line) {
      this.results.push({ lineId, draft, is: 'no such line' });
      return;
    }
    const { by, via, at = this.#now } = this.#intent;
    const head: EntryHead = { at, told: this.#now, by, via };
    const log = needsLog(line, draft, at) ? await this.#logOf(lineId) : [];
    const verdict = accept(line, this.#ward, draft, head, log);
    if ('take' in verdict) {
      const number = await this.#take(line, verdict.take, log);
      const amended = verdict.take.kind === 'amended' ? amendedBy(verdict.take, log) : undefined;
      const of = amended ? { amended } : {};
      this.results.push({ lineId, draft, is: 'taken', entry: verdict.take, number, ...of });
      return;
    }
    const stands = 'refuse' in verdict ? ownRemoval(line, draft, by) : null;
    const done = stands ?? ('already' in verdict ? verdict.already : null);
    if (done !== null) {
      const isDoublePress = done.by === by && Math.abs(at - done.at) <= doublePressMs;
      this.results.push({ lineId, draft, is: 'already', done, at, isDoublePress });
    } else if ('refuse' in verdict)
      this.results.push({ lineId, draft, is: 'refused', refusal: verdict.refuse });
    else if ('ask' in verdict) this.results.push({ lineId, draft, is: 'asked', question: verdict.ask, at });
  }

  /** Takes an entry, and what it brings for the animal's other lines; gives its number. */
  async #take(line: LineState, entry: Entry, log: readonly Entry[]): Promise<number> {
    const after = rejoined(
      foldNext(ownLine(line), entry, () => log),
      line,
    );
    this.#lines.set(line.id, after);
    this.#add(line.id, entry);
    for (const other of animalDrafts(line, entry, this.#intent, this.#now)) {
      const { id } = other;
      const known = this.#lines.get(id) ?? line.animal?.others.find((one) => one.id === id);
      if (!known) continue;
      if (!this.#before.has(id)) this.#before.set(id, known);
      const all = [...(await this.#logOf(id)), other.entry];
      this.#lines.set(id, rejoined(foldLine(id, all), known));
      this.#add(id, other.entry);
    }
    return after.version;
  }

  #add(id: string, entry: Entry): void {
    this.added.set(id, [...(this.added.get(id) ?? []), entry]);
  }

  async #logOf(id: string): Promise<Entry[]> {
    // What somebody else recorded since the line was read is not of this attempt: the commit finds it, and all is decided again.
    const log =
      this.#logs.get(id) ??
      (await this.#record.readLog(this.#intent.wardId, id)).slice(0, this.#before.get(id)?.version);
    this.#logs.set(id, log);
    return [...log, ...(this.added.get(id) ?? [])];
  }
}

/** A line whose animal's other lines are as they have come to be. */
function withLatest(line: LineState, lines: ReadonlyMap<string, LineState>): LineState {
  const { animal } = line;
  if (!animal?.others.some(({ id }) => lines.has(id))) return line;
  const others = animal.others.map((one) => ownLine(lines.get(one.id) ?? one));
  return ofAnimal(ownLine(line), animal.id, others);
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
