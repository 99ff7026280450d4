import type { LineState } from '../domain/record/line-state.ts';
import type { WardRecord, WardView } from './ports.ts';
import { RecordUnavailable } from './record-unavailable.ts';

/** What a record has less of than this process has already seen. */
export interface Loss {
  wardId: string;
  /** Entries that are gone, by line; a line that is gone altogether has none left. */
  lines: { id: string; name: string; had: number; has: number }[];
  /** Entries gone from the ward's own log. */
  ward: number;
}

/** Thrown while a ward's record is shorter than it was and the ward has not been told yet. Nobody is told "recorded". */
export class RecordShrunk extends RecordUnavailable {
  constructor(wardId: string) {
    super(new Error(`the record of ward ${wardId} is shorter than it was`));
    this.name = 'RecordShrunk';
  }
}

/** A record that is watched, and what it takes to let a loss go. */
export interface UnshrinkingRecord extends WardRecord {
  /** Forgets what was seen of a ward, where somebody emptied it on purpose. */
  forget(wardId: string): void;
}

interface Seen {
  ward: number;
  /** `listed`: it was on the ward's list. */
  lines: Map<string, { length: number; name: string; listed: boolean }>;
  /** Under way while the ward is told of a loss. */
  notifying: Promise<void> | null;
  loss: Loss | null;
}

/** What was known of a ward when a question was asked; the answer may know more, never less. */
type Known = Pick<Seen, 'ward' | 'lines'>;

/** What an answer holds: the lines asked for by id, those found, the length of the ward's log, and which lines are on its list. */
interface Answer {
  asked?: readonly string[];
  found?: readonly LineState[];
  ward?: number;
  listed?: ReadonlySet<string>;
}

/** Lines and entries that were known and are gone; null where nothing is. */
function lossOf(wardId: string, known: Known, { asked = [], found = [], ward }: Answer): Loss | null {
  const lengths = new Map(found.map(({ id, version }) => [id, version]));
  const lines = asked.flatMap((id) => {
    const was = known.lines.get(id);
    const has = lengths.get(id) ?? 0;
    return was && has < was.length ? [{ id, name: was.name, had: was.length, has }] : [];
  });
  const wardGone = ward === undefined ? 0 : Math.max(0, known.ward - ward);
  return lines.length > 0 || wardGone > 0 ? { wardId, lines, ward: wardGone } : null;
}

function note(seen: Seen, { found = [], ward = 0, listed }: Answer): void {
  seen.ward = Math.max(seen.ward, ward);
  for (const { id, version, patient } of found) {
    const was = seen.lines.get(id);
    seen.lines.set(id, {
      length: Math.max(version, was?.length ?? 0),
      name: patient.name,
      listed: listed?.has(id) ?? was?.listed ?? false,
    });
  }
}

/** The lengths of every ward's logs as this process has seen them. */
function seenLengths(notify: (loss: Loss) => Promise<void>, released: (wardId: string) => void) {
  const wards = new Map<string, Seen>();
  const seenOf = (wardId: string) => {
    const seen = wards.get(wardId) ?? { ward: 0, lines: new Map(), notifying: null, loss: null };
    wards.set(wardId, seen);
    return seen;
  };
  /** Tells the ward; when it's told, what is there now is the record. */
  const refuse = (wardId: string, seen: Seen, loss: Loss): never => {
    seen.loss = seen.loss ?? loss;
    seen.notifying ??= notify(seen.loss).then(
      () => {
        if (wards.get(wardId) === seen) wards.delete(wardId);
        released(wardId);
      },
      () => {
        seen.notifying = null;
      },
    );
    throw new RecordShrunk(wardId);
  };
  return {
    before(wardId: string): Known {
      const seen = seenOf(wardId);
      if (seen.loss) refuse(wardId, seen, seen.loss);
      return { ward: seen.ward, lines: new Map(seen.lines) };
    },
    /** Compares an answer with what was known when it was asked for; refuses, or notes it. */
    compare(wardId: string, known: Known, answer: Answer): void {
      const loss = lossOf(wardId, known, answer);
      const seen = seenOf(wardId);
      if (loss) refuse(wardId, seen, loss);
      note(seen, answer);
    },
    note(wardId: string, answer: Answer): void {
      note(seenOf(wardId), answer);
    },
    forget: (wardId: string): void => void wards.delete(wardId),
  };
}

/**
 * Logs only grow. Where one is shorter than this process has seen it, a server died before its copy was up to date and
 * took back what people were told is recorded: then the ward is told what is gone (`tell`), and until it is, everything
 * about that ward is refused. `released` hears when it is served again: only then can its messages go out.
 */
export function unshrinkingRecord(
  record: WardRecord,
  notify: (loss: Loss) => Promise<void>,
  released: (wardId: string) => void = () => undefined,
): UnshrinkingRecord {
  const lengths = seenLengths(notify, released);
  return {
    ...record,

    async readWard(wardId): Promise<WardView> {
      const known = lengths.before(wardId);
      const view = await record.readWard(wardId);
      const listed = new Set(view.lines.map(({ id }) => id));
      // Off the list since: closed, or lost with its log.
      const left = [...known.lines].flatMap(([id, was]) => (was.listed && !listed.has(id) ? [id] : []));
      const others = left.length === 0 ? [] : await record.readLines(wardId, left);
      const found = [...view.lines, ...others];
      lengths.compare(wardId, known, { asked: [...listed, ...left], found, ward: view.ward.version, listed });
      return view;
    },

    async readWardState(wardId) {
      const known = lengths.before(wardId);
      const ward = await record.readWardState(wardId);
      lengths.compare(wardId, known, { ward: ward.version });
      return ward;
    },

    async readLine(wardId, lineId) {
      const known = lengths.before(wardId);
      const line = await record.readLine(wardId, lineId);
      lengths.compare(wardId, known, { asked: [lineId], found: line ? [line] : [] });
      return line;
    },

    async readLines(wardId, lineIds) {
      const known = lengths.before(wardId);
      const lines = await record.readLines(wardId, lineIds);
      lengths.compare(wardId, known, { asked: lineIds, found: lines });
      return lines;
    },

    async commit(wardId, change) {
      lengths.before(wardId);
      const committed = await record.commit(wardId, change);
      if (committed.is === 'written')
        lengths.note(wardId, {
          found: change.lines.map(({ after }) => after),
          ...(change.ward ? { ward: change.ward.after.version } : {}),
          listed: new Set(change.lines.filter((line) => line.listed).map(({ id }) => id)),
        });
      return committed;
    },

    forget: lengths.forget,
  };
}
