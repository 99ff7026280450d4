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

  /** What was known when a question was asked; the answer may know more, never less. */
  const before = (wardId: string) => {
    const seen = seenOf(wardId);
    if (seen.loss) refuse(wardId, seen, seen.loss);
    return { ward: seen.ward, lines: new Map(seen.lines) };
  };

  const note = (seen: Seen, lines: readonly LineState[], ward?: number, listed?: (id: string) => boolean) => {
    if (ward !== undefined) seen.ward = Math.max(seen.ward, ward);
    for (const { id, version, patient } of lines) {
      const was = seen.lines.get(id);
      seen.lines.set(id, {
        length: Math.max(version, was?.length ?? 0),
        name: patient.name,
        listed: listed?.(id) ?? was?.listed ?? false,
      });
    }
  };

  /** Compares what was asked for with what was known; refuses, or notes it. */
  const compare = (
    wardId: string,
    known: ReturnType<typeof before>,
    askedLines: readonly string[],
    found: readonly LineState[],
    ward?: number,
    listed?: (id: string) => boolean,
  ) => {
    const lengths = new Map(found.map(({ id, version }) => [id, version]));
    const gone = askedLines.flatMap((id) => {
      const was = known.lines.get(id);
      const has = lengths.get(id) ?? 0;
      return was && has < was.length ? [{ id, name: was.name, had: was.length, has }] : [];
    });
    const wardGone = ward === undefined ? 0 : Math.max(0, known.ward - ward);
    const seen = seenOf(wardId);
    if (gone.length > 0 || wardGone > 0) refuse(wardId, seen, { wardId, lines: gone, ward: wardGone });
    note(seen, found, ward, listed);
  };

  return {
    ...record,

    async readWard(wardId): Promise<WardView> {
      const known = before(wardId);
      const view = await record.readWard(wardId);
      const listed = new Set(view.lines.map(({ id }) => id));
      // Off the list since: closed, or lost with its log.
      const left = [...known.lines].flatMap(([id, was]) => (was.listed && !listed.has(id) ? [id] : []));
      const others = left.length === 0 ? [] : await record.readLines(wardId, left);
      compare(wardId, known, [...listed, ...left], [...view.lines, ...others], view.ward.version, (id) =>
        listed.has(id),
      );
      return view;
    },

    async readWardState(wardId) {
      const known = before(wardId);
      const ward = await record.readWardState(wardId);
      compare(wardId, known, [], [], ward.version);
      return ward;
    },

    async readLine(wardId, lineId) {
      const known = before(wardId);
      const line = await record.readLine(wardId, lineId);
      compare(wardId, known, [lineId], line ? [line] : []);
      return line;
    },

    async readLines(wardId, lineIds) {
      const known = before(wardId);
      const lines = await record.readLines(wardId, lineIds);
      compare(wardId, known, lineIds, lines);
      return lines;
    },

    async commit(wardId, change) {
      before(wardId);
      const committed = await record.commit(wardId, change);
      if (committed.is === 'written')
        note(
          seenOf(wardId),
          change.lines.map(({ after }) => after),
          change.ward?.after.version,
          (id) => change.lines.some((line) => line.id === id && line.listed),
        );
      return committed;
    },

    forget: (wardId) => void wards.delete(wardId),
  };
}
