import { setImmediate as breathe } from 'node:timers/promises';
import { Cluster, type Redis } from 'ioredis';
import type { Post } from '../app/ports.ts';
import { wakesOf } from '../app/sweep-wards.ts';
import { inOrderTold, type LineCopy, type WardCopy } from '../app/ward-copy.ts';
import type { WardPolicy } from '../domain/policy/ward-policy.ts';
import { foldLine } from '../domain/record/fold-line.ts';
import type { WardEntry } from '../domain/ward/ward-entry.ts';
import { foldWard } from '../domain/ward/ward-state.ts';
import { decodeEntry, decodeWardEntry, encodeEntry, encodeWardEntry } from './entry-codec.ts';
import { wardKeys, wardsKey } from './keys.ts';
import { encodePost } from './outbox.ts';
import { reach } from './reach.ts';
import type { RecordClient } from './script.ts';
import { entryPlace, wardEntryPlace } from './snapshots.ts';

/** Entries sent in one command when a log is written. */
const entriesAtOnce = 500;
/** Times a ward is read again because a line was placed meanwhile. */
const attempts = 5;

/** A ward's whole record as it was read at one instant, each line's log decoded only when its turn comes. */
export interface WardReading {
  wardEntries: WardEntry[];
  /** How many lines there are. */
  count: number;
  /** Each line once, in no order, and its text let go with it: of thousands, only one is held. Throws `UnreadableEntryError`. */
  lines: () => Generator<LineCopy>;
}

/**
 * The whole record of a ward as it stood at one instant, closed lines too; null when the store knows no such ward.
 * Throws `RecordUnavailable`, and `UnreadableEntryError` on an entry that is not ours.
 */
export async function readWardCopy(client: RecordClient, wardId: string): Promise<WardCopy | null> {
  const reading = await readWard(client, wardId);
  if (reading === null) return null;
  const lines: LineCopy[] = [];
  for (const line of reading.lines()) {
    lines.push(line);
    // Thousands of lines take seconds: whoever presses meanwhile is answered between two of them.
    await breathe();
  }
  return { wardId, wardEntries: reading.wardEntries, lines: inOrderTold(lines) };
}

/** The same line by line, for whoever needs no line twice. */
export async function readWard(client: RecordClient, wardId: string): Promise<WardReading | null> {
  const keys = wardKeys(wardId);
  for (let attempt = 1; attempt <= attempts; attempt++) {
    const stored = await keysOf(client, wardId);
    const before = `{${wardId}}:line:`;
    const ids = stored
      .filter((key) => key.startsWith(before) && key.endsWith(':log'))
      .map((key) => key.slice(before.length, -':log'.length));
    // One transaction: no entry comes between one log and the next.
    const replies = await reach('reads', () =>
      client
        .multi([
          ['lrange', keys.wardLog, '0', '-1'],
          ['smembers', keys.lines],
          ...ids.map((id) => ['lrange', keys.lineLog(id), '0', '-1']),
        ])
        .exec(),
    );
    const [wardLog = [], listed = [], ...logs] = (replies ?? []).map(([error, reply]) => {
      if (error) throw error;
      return reply as string[];
    });
    if (listed.some((id) => !ids.includes(id))) continue;
    if (wardLog.length === 0 && ids.length === 0) return null;
    const onList = new Set(listed);
    return {
      wardEntries: wardLog.map((text, index) => decodeWardEntry(text, wardEntryPlace(wardId, index))),
      count: ids.length,
      *lines() {
        for (const [line, id] of ids.entries()) {
          const log = logs[line] ?? [];
          logs[line] = [];
          const entries = log.map((text, index) => decodeEntry(text, entryPlace(wardId, id, index)));
          yield { id, listed: onList.has(id), entries };
        }
      },
    };
  }
  throw new Error(`ward ${wardId}: lines kept being placed while it was read; try again in a minute.`);
}

/**
 * Writes a copy as the record of a ward that holds nothing, in one transaction, with the wake-ups it owes at `now` (ms)
 * and the cards of the lines on its list to be posted anew. `holds something`: nothing was written.
 * Throws `RecordUnavailable`; where a lost answer leaves it open, the ward holds all or nothing.
 */
export async function writeWardCopy(
  client: Redis,
  copy: WardCopy,
  policyIfNone: WardPolicy,
  now: number,
): Promise<'written' | 'holds something'> {
  const { wardId, wardEntries, lines } = copy;
  const keys = wardKeys(wardId);
  const ward = foldWard(wardId, policyIfNone, wardEntries);
  const listed = lines.filter((line) => line.listed);
  const wakes = wakesOf({ ward, lines: listed.map(({ id, entries }) => foldLine(id, entries)) }, now);

  await reach('reads', () =>
    client.watch(keys.wardLog, keys.lines, keys.due, keys.out, ...lines.map(({ id }) => keys.lineLog(id))),
  );
  if ((await keysOf(client, wardId)).length > 0) {
    await reach('reads', () => client.unwatch());
    return 'holds something';
  }
  const commands: string[][] = [['sadd', wardsKey, wardId]];
  const log = (key: string, texts: readonly string[]) => {
    for (let from = 0; from < texts.length; from += entriesAtOnce)
      commands.push(['rpush', key, ...texts.slice(from, from + entriesAtOnce)]);
  };
  log(keys.wardLog, wardEntries.map(encodeWardEntry));
  for (const { id, entries } of lines) log(keys.lineLog(id), entries.map(encodeEntry));
  for (const { id } of listed) {
    const card: Post = { key: `9.card.${id}`, kind: 'card', to: 'ward', lines: [id], asked: [], at: now };
    commands.push(
      ['sadd', keys.lines, id],
      ['hset', keys.out, card.key, encodePost(card)],
      ['zadd', keys.todo, '0', card.key],
      ['sadd', keys.linePosts(id), card.key],
    );
  }
  for (const [member, at] of Object.entries(wakes)) commands.push(['zadd', keys.due, String(at), member]);
  const replies = await reach('writes', () => client.multi(commands).exec());
  if (replies === null) return 'holds something';
  for (const [error] of replies) if (error) throw error;
  return 'written';
}

/** Every key of one ward. */
async function keysOf(client: RecordClient, wardId: string): Promise<string[]> {
  // A ward's keys lie in one slot, but which node has it is for the cluster to know.
  const nodes = client instanceof Cluster ? client.nodes('master') : [client];
  const pattern = `{${wardId.replaceAll(/[\\*?[\]]/g, String.raw`\$&`)}}:*`;
  const found = new Set<string>();
  for (const node of nodes) {
    let cursor = '0';
    do {
      const [next, keys] = await reach('reads', () => node.scan(cursor, 'MATCH', pattern, 'COUNT', 1_000));
      for (const key of keys) found.add(key);
      cursor = next;
    } while (cursor !== '0');
  }
  return [...found].toSorted();
}
