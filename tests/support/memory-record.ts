import {
  type Change,
  outboxPartOf,
  outboxParts,
  type Post,
  type PostRow,
  type WardRecord,
} from '../../src/app/ports.ts';
import { inOrderRecorded } from '../../src/app/ward-copy.ts';
import { placingOf } from '../../src/domain/animal/animal.ts';
import type { WardPolicy } from '../../src/domain/policy/ward-policy.ts';
import { type Entry, entrySchema } from '../../src/domain/record/entry.ts';
import type { LineState } from '../../src/domain/record/line-state.ts';
import { type WardEntry, wardEntrySchema } from '../../src/domain/ward/ward-entry.ts';
import { newWard, type WardState } from '../../src/domain/ward/ward-state.ts';
import { checkChange, checkWakes } from '../../src/redis/check-change.ts';

const holdMs = 30_000;
const laneGapMs = 1_000;
const dayMs = 24 * 3_600_000;

/** A row of the outbox; `waits` is the real ms it waits for, 0 when ready, null when nothing is to be done. */
interface Row extends PostRow {
  waits: number | null;
  hold: { touched: boolean; lane: string; laneUntil: number } | null;
}

interface Ward {
  log: WardEntry[];
  state: WardState;
  lines: Map<string, { log: Entry[]; state: LineState; listed: boolean }>;
  forgotten: Set<string>;
  due: Map<string, number>;
  /** What was told on each real day. */
  once: Map<number, Set<string>>;
  rows: Map<string, Row>;
  lanes: Map<string, number>;
}

export interface MemoryRecordOptions {
  /** The machine's time, ms; `once` keys are kept by its day. */
  realNow?: () => number;
  /** How what is read is kept apart from what is stored; the simulation, which is long, trusts its readers not to change it. */
  copied?: <T>(value: T) => T;
}

/** The record in memory, and what a test may ask of it besides. */
export interface MemoryRecord extends WardRecord {
  /** When the next post of a ward waits to be taken, real ms; 0 is at once, null when none waits. */
  nextPost(wardId: string): number | null;
  /** What `nextWake` answers. */
  nextWakeAt(wardId: string): number | null;
}

/** The record in memory, for tests; it keeps the same promises as the one on Redis (tests/contract). */
export function memoryRecord(
  defaultPolicy: WardPolicy,
  { realNow = Date.now, copied = structuredClone }: MemoryRecordOptions = {},
): MemoryRecord {
  const wards = new Map<string, Ward>();
  /** Wards that ever took a change; the others were only asked about. */
  const enrolled = new Set<string>();
  const begin = (wardId: string): Ward => ({
    log: [],
    state: newWard(wardId, defaultPolicy),
    lines: new Map(),
    forgotten: new Set(),
    due: new Map(),
    once: new Map(),
    rows: new Map(),
    lanes: new Map(),
  });
  const wardOf = (wardId: string) => {
    const ward = wards.get(wardId) ?? begin(wardId);
    wards.set(wardId, ward);
    return ward;
  };

  return {
    policyIfNone: defaultPolicy,
    async readWard(wardId) {
      const { state, lines } = wardOf(wardId);
      const listed = [...lines].filter(([, line]) => line.listed).toSorted(([a], [b]) => (a < b ? -1 : 1));
      return copied({ ward: state, lines: listed.map(([, line]) => line.state) });
    },
    readWardState: async (wardId) => copied(wardOf(wardId).state),
    readLine: async (wardId, lineId) => copied(wardOf(wardId).lines.get(lineId)?.state ?? null),
    async readLines(wardId, lineIds) {
      const { lines } = wardOf(wardId);
      return copied(lineIds.flatMap((id) => lines.get(id)?.state ?? []));
    },
    async readPlacings(wardId) {
      const { lines, forgotten } = wardOf(wardId);
      const kept = [...lines].filter(([id]) => !forgotten.has(id)).map(([, { state }]) => placingOf(state));
      return copied(kept);
    },
    readLog: async (wardId, lineId) => copied(wardOf(wardId).lines.get(lineId)?.log ?? []),
    readWardLog: async (wardId) => copied(wardOf(wardId).log),
    async readCopy(wardId) {
      const { log, lines } = wardOf(wardId);
      if (log.length === 0 && lines.size === 0) return null;
      const copies = [...lines].map(([id, line]) => ({ id, listed: line.listed, entries: line.log }));
      return copied({ wardId, wardEntries: log, lines: inOrderRecorded(copies) });
    },

    async commit(wardId, change) {
      checkChange(change);
      for (const { entries } of change.lines) for (const entry of entries) entrySchema.parse(entry);
      for (const entry of change.ward?.entries ?? []) wardEntrySchema.parse(entry);
      const ward = wardOf(wardId);
      const day = Math.floor(realNow() / dayMs);
      for (const old of ward.once.keys()) if (old < day - 1) ward.once.delete(old);
      const isTold = [...ward.once.values()].some((told) => told.has(change.once ?? ''));
      if (change.once !== undefined && isTold) return { is: 'already' };
      if (!fits(ward, change)) return { is: 'conflict' };
      enrolled.add(wardId);
      if (change.once !== undefined)
        ward.once.set(day, (ward.once.get(day) ?? new Set<string>()).add(change.once));
      return { is: 'written', armed: write(ward, copied(change)) };
    },

    wardIds: async () => [...enrolled],
    nextWake: async (wardId) => earliest(wardOf(wardId).due),
    dueNow: async (wardId, now) =>
      [...wardOf(wardId).due].flatMap(([member, at]) => (at <= now ? [member] : [])),
    async repairWakes(wardId, wakes) {
      checkWakes(wakes);
      const ward = wardOf(wardId);
      const gone = [...ward.due.keys()].filter((member) => wakes[member] === undefined);
      const late = Object.entries(wakes).filter(
        ([member, at]) => !((ward.due.get(member) ?? Infinity) <= at),
      );
      for (const member of gone) ward.due.delete(member);
      for (const [member, at] of late) ward.due.set(member, at);
      return gone.length + late.length;
    },

    async takePost(wardId, realNow, part, { peopleOnly = false } = {}) {
      const { rows, lanes } = wardOf(wardId);
      const waiting = [...rows.values()].filter(({ waits }) => waits !== null);
      for (const row of waiting) if ((row.waits ?? 0) <= realNow) row.waits = 0;
      const ready = waiting
        .filter(({ waits, post }) => waits === 0 && !(peopleOnly && post.to === 'ward'))
        .toSorted((a, b) => (a.post.key < b.post.key ? -1 : 1));
      const instants = waiting.flatMap(({ waits }) => (waits ? [waits] : []));
      const others = new Set<string>();
      for (const row of ready) {
        if (part !== undefined && outboxPartOf(row.post.key) !== part) {
          others.add(outboxPartOf(row.post.key));
          continue;
        }
        const lane = laneOf(row);
        const free = lanes.get(lane) ?? 0;
        if (free <= realNow) {
          row.waits = realNow + holdMs;
          row.hold = { touched: false, lane, laneUntil: realNow + laneGapMs };
          lanes.set(lane, realNow + laneGapMs);
          return { row: shown(row, copied) };
        }
        instants.push(free);
      }
      const againAt = instants.length === 0 ? null : Math.min(...instants);
      const also = outboxParts.filter((one) => others.has(one));
      return { againAt, ...(also.length > 0 ? { ready: also } : {}) };
    },
    async postTrying(wardId, key, realNow) {
      const { rows, lanes } = wardOf(wardId);
      const row = rows.get(key);
      if (!row) return;
      row.tryingSince ??= realNow;
      if (!row.hold) return;
      row.waits = realNow + holdMs;
      row.hold.laneUntil = realNow + laneGapMs;
      lanes.set(row.hold.lane, realNow + laneGapMs);
    },
    async postDone(wardId, key, sent, settled, againAt) {
      if (sent === null && !settled) throw new Error(`post ${key}: nowhere sent and not settled is not done`);
      const { rows, lanes } = wardOf(wardId);
      const row = rows.get(key);
      if (!row) return;
      const again = sent !== null && (row.hold === null || row.hold.touched || sent.hash === '');
      const same =
        sent !== null &&
        row.sent?.hash === sent.hash &&
        row.sent.id === sent.id &&
        row.sent.place === sent.place;
      if (same && row.hold && lanes.get(row.hold.lane) === row.hold.laneUntil) lanes.delete(row.hold.lane);
      if (sent === null || (settled && !again)) {
        rows.delete(key);
        return;
      }
      row.sent = { ...sent };
      row.hold = null;
      row.tries = 0;
      delete row.tryingSince;
      row.waits = again ? 0 : (againAt ?? null);
    },
    async postAgain(wardId, key, againAt) {
      const row = wardOf(wardId).rows.get(key);
      if (!row) return;
      row.tries += 1;
      row.hold = null;
      row.waits = againAt;
    },
    async postLeft(wardId, key) {
      const { rows, lanes } = wardOf(wardId);
      const row = rows.get(key);
      if (!row) return;
      if (row.hold && lanes.get(row.hold.lane) === row.hold.laneUntil) lanes.delete(row.hold.lane);
      row.hold = null;
      row.waits = 0;
    },
    async readPost(wardId, key) {
      const row = wardOf(wardId).rows.get(key);
      return row ? shown(row, copied) : null;
    },
    nextWakeAt: (wardId) => earliest(wardOf(wardId).due),
    nextPost(wardId) {
      const waiting = [...wardOf(wardId).rows.values()].flatMap(({ waits }) => waits ?? []);
      return waiting.length === 0 ? null : Math.min(...waiting);
    },
  };
}

function fits(ward: Ward, { lines, ward: own, posts }: Change): boolean {
  if (own && own.expected !== ward.log.length) return false;
  if (lines.some(({ id, expected }) => (ward.lines.get(id)?.log.length ?? 0) !== expected)) return false;
  return posts.every(({ key }) => !ward.rows.has(key));
}

/** Writes a change that fits; says the earliest wake-up when it came forward. */
function write(ward: Ward, { lines, ward: own, wakes, posts, touchAll, forget }: Change): number | null {
  if (own && own.entries.length > 0) {
    ward.log.push(...own.entries);
    ward.state = own.after;
  }
  for (const id of forget ?? []) ward.forgotten.add(id);
  const changed = new Set<string>();
  for (const { id, entries, after, listed, touch } of lines) {
    const before = ward.lines.get(id);
    if (touch || entries.length > 0 || listed !== (before?.listed ?? false)) changed.add(id);
    const state = entries.length > 0 || !before ? after : before.state;
    ward.lines.set(id, { log: [...(before?.log ?? []), ...entries], state, listed });
  }
  for (const row of ward.rows.values()) {
    if (!touchAll && !row.post.lines.some((id) => changed.has(id))) continue;
    if (row.hold) row.hold.touched = true;
    else row.waits ??= 0;
  }
  const before = earliest(ward.due);
  for (const [member, at] of Object.entries(wakes)) {
    if (at === null) ward.due.delete(member);
    else ward.due.set(member, at);
  }
  for (const post of posts) ward.rows.set(post.key, { post, tries: 0, waits: 0, hold: null });
  const after = earliest(ward.due);
  return after !== null && (before === null || after < before) ? after : null;
}

function earliest(due: ReadonlyMap<string, number>): number | null {
  return due.size === 0 ? null : Math.min(...due.values());
}

function laneOf({ post, sent }: Row): string {
  return `${sent ? 'u|' : ''}${addressee(post)}`;
}

function addressee({ to }: Post): string {
  return to === 'ward' ? '' : to.user;
}

function shown({ post, sent, tryingSince, tries }: Row, copied: <T>(value: T) => T): PostRow {
  return copied({
    post,
    ...(sent === undefined ? {} : { sent }),
    ...(tryingSince === undefined ? {} : { tryingSince }),
    tries,
  });
}
