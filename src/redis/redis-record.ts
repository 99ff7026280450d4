import { createHash } from 'node:crypto';
import type { Change, Committed, WardRecord } from '../app/ports.ts';
import { placingOf } from '../domain/animal/animal.ts';
import type { WardPolicy } from '../domain/policy/ward-policy.ts';
import type { EntryKind } from '../domain/record/entry.ts';
import { dayMs } from '../domain/time.ts';
import { checkChange, checkWakes } from './check-change.ts';
import type { Copies } from './copies.ts';
import { decodeEntry, decodeWardEntry, encodeEntry, encodeWardEntry } from './entry-codec.ts';
import { type WardKeys, wardKeys, wardsKey } from './keys.ts';
import { encodePost, outbox } from './outbox.ts';
import { encodePlacing, nothingPlacedYet, readPlacings } from './placings.ts';
import { reach } from './reach.ts';
import { type RecordClient, readScript } from './script.ts';
import { encodeLine, encodeWard, entryPlace, snapshots, wardEntryPlace } from './snapshots.ts';
import { readWardCopy } from './ward-copies.ts';

const commitScript = readScript('commit');
const repairWakesScript = readScript('repair-wakes');

/** A `once` key is known for at least one and at most two days. */
const onceKeptSeconds = 48 * 3_600;

export interface RedisRecordOptions {
  client: RecordClient;
  /** Policy of a ward that never set one. */
  defaultPolicy: WardPolicy;
  /** The machine's time, ms; `once` keys are kept by its day. */
  realNow?: () => number;
  /** Real ms between two messages of one lane; the platform allows one a second. */
  laneGapMs?: number;
  /** Waits for replicas, where there are any. */
  copies?: Copies;
}

/**
 * The record on Redis: logs are the truth, snapshots and the wake index beside them are written in the same script.
 * Every method throws `RecordUnavailable` when Redis cannot be reached or refuses to serve.
 */
export function redisRecord({
  client,
  defaultPolicy,
  realNow = Date.now,
  laneGapMs = 1_000,
  copies,
}: RedisRecordOptions): WardRecord {
  const states = snapshots(client, defaultPolicy);
  /** Wards known to stand in the set of all wards; forgotten with the connection, which may come back to another Redis. */
  const enrolled = new Set<string>();
  client.on('close', () => enrolled.clear());

  const enrol = async (wardId: string) => {
    if (enrolled.has(wardId)) return;
    const isNew = (await reach('reads', () => client.sadd(wardsKey, wardId))) === 1;
    if (isNew) await nothingPlacedYet(client, wardId);
    enrolled.add(wardId);
  };

  return {
    policyIfNone: defaultPolicy,
    ...outbox(client, laneGapMs),
    ...logs(client),
    ...wakeIndex(client),

    async readWard(wardId) {
      const keys = wardKeys(wardId);
      const [ward, lineIds] = await Promise.all([
        states.readWardState(keys, wardId),
        reach('reads', () => client.smembers(keys.lines)),
      ]);
      return { ward, lines: await states.readLines(keys, wardId, lineIds.toSorted()) };
    },

    readWardState: async (wardId) => states.readWardState(wardKeys(wardId), wardId),

    async readLine(wardId, lineId) {
      const [line] = await states.readLines(wardKeys(wardId), wardId, [lineId]);
      return line ?? null;
    },

    readLines: async (wardId, lineIds) => states.readLines(wardKeys(wardId), wardId, lineIds),

    readPlacings: (wardId) => readPlacings(client, states, wardId),

    async commit(wardId, change) {
      checkChange(change);
      const keys = wardKeys(wardId);
      const command = commitCommand(keys, change, Math.floor(realNow() / dayMs));
      await enrol(wardId);
      const answer = await reach('writes', () => commitScript(client, command.keys, command.args));
      const done = committed(answer as string[]);
      // Also of what was written before: whoever tells it again is told that it stands.
      if (done.is !== 'conflict') await copies?.made(wardId);
      return done;
    },
  };
}

/** What is read of logs as they are. */
function logs(client: RecordClient): Pick<WardRecord, 'readLog' | 'readWardLog' | 'readCopy'> {
  return {
    async readLog(wardId, lineId) {
      const log = await reach('reads', () => client.lrange(wardKeys(wardId).lineLog(lineId), 0, -1));
      return log.map((text, index) => decodeEntry(text, entryPlace(wardId, lineId, index)));
    },

    async readWardLog(wardId) {
      const log = await reach('reads', () => client.lrange(wardKeys(wardId).wardLog, 0, -1));
      return log.map((text, index) => decodeWardEntry(text, wardEntryPlace(wardId, index)));
    },

    readCopy: (wardId) => readWardCopy(client, wardId),
  };
}

/** The wards there are, and when each is to be looked at. */
function wakeIndex(
  client: RecordClient,
): Pick<WardRecord, 'wardIds' | 'nextWake' | 'dueNow' | 'repairWakes'> {
  return {
    wardIds: () => reach('reads', () => client.smembers(wardsKey)),

    async nextWake(wardId) {
      const [, at] = await reach('reads', () => client.zrange(wardKeys(wardId).due, 0, '0', 'WITHSCORES'));
      return at === undefined ? null : Number(at);
    },

    dueNow: (wardId, now) => reach('reads', () => client.zrangebyscore(wardKeys(wardId).due, '-inf', now)),

    async repairWakes(wardId, wakes) {
      const pairs = Object.entries(wakes).flatMap(([member, at]) => [member, String(at)]);
      checkWakes(wakes);
      return (await reach('writes', () =>
        repairWakesScript(client, [wardKeys(wardId).due], pairs),
      )) as number;
    },
  };
}

function committed([is = '', before = '', after = '']: string[]): Committed {
  if (is === 'already' || is === 'conflict') return { is };
  if (is !== 'written') throw new Error(`the commit script answered ${JSON.stringify(is)}`);
  const earlier = after !== '' && (before === '' || Number(after) < Number(before));
  return { is, armed: earlier ? Number(after) : null };
}

/** What the commit script reads, in its order. */
function commitCommand(keys: WardKeys, change: Change, day: number): { keys: string[]; args: string[] } {
  const { once, lines, ward, wakes, posts, touchAll, forget } = change;
  const scriptKeys = [
    keys.due,
    keys.lines,
    keys.once(day),
    keys.once(day - 1),
    keys.out,
    keys.todo,
    keys.held,
    keys.wardLog,
    keys.ward,
    keys.placings,
    ...lines.flatMap(({ id }) => [keys.lineLog(id), keys.line(id), keys.linePosts(id)]),
  ];
  /** Positions of keys in the script's table, which counts from 1. */
  const positions = new Map(scriptKeys.map((key, index) => [key, index + 1]));
  const positionOf = (key: string) => {
    const position = positions.get(key) ?? scriptKeys.push(key);
    positions.set(key, position);
    return String(position);
  };
  const many = (values: readonly string[]) => [String(values.length), ...values];

  const args = [
    once === undefined ? '' : onceNumber(once),
    String(onceKeptSeconds),
    touchAll ? '1' : '0',
    ward ? String(ward.expected) : '',
    // Only a log that grows gets a new snapshot; what was merely looked at stands as it is.
    ward && ward.entries.length > 0 ? encodeWard(ward.after) : '',
    ...many((ward?.entries ?? []).map(encodeWardEntry)),
    String(lines.length),
  ];
  for (const { id, expected, listed, touch, after, entries } of lines) {
    const snapshot = entries.length > 0 ? encodeLine(after) : '';
    args.push(
      id,
      String(expected),
      listed ? '1' : '0',
      touch ? '1' : '0',
      snapshot,
      entries.some(({ kind }) => saysWhose.has(kind)) ? encodePlacing(placingOf(after)) : '',
      ...many(entries.map(encodeEntry)),
    );
  }
  args.push(
    ...many(forget ?? []),
    ...many(Object.entries(wakes).flatMap(([member, at]) => [member, at === null ? '' : String(at)])),
  );
  args.push(String(posts.length));
  for (const post of posts) {
    args.push(post.key, encodePost(post), ...many(post.lines.map((id) => positionOf(keys.linePosts(id)))));
  }
  return { keys: scriptKeys, args };
}

/** Kinds of entry that can change what `placingOf` tells of a line. */
const saysWhose: ReadonlySet<EntryKind> = new Set(['placed', 'removed', 'amended'] as const);

/** A `once` key as a 64-bit number, which Redis keeps in 8 bytes. */
function onceNumber(once: string): string {
  return createHash('sha256').update(once).digest().readBigInt64BE().toString();
}
