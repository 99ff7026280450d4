import { setImmediate as breathe } from 'node:timers/promises';
import type { Post } from '../app/ports.ts';
import { wakesOf } from '../app/sweep-wards.ts';
import { inOrderRecorded, type LineCopy, type WardCopy } from '../app/ward-copy.ts';
import { placingOf, stillHere, withAnimals } from '../domain/animal/animal.ts';
import { foldLine } from '../domain/fold/fold-line.ts';
import type { WardPolicy } from '../domain/policy/ward-policy.ts';
import type { Entry } from '../domain/record/entry.ts';
import type { WardEntry } from '../domain/ward/ward-entry.ts';
import { foldWard } from '../domain/ward/ward-state.ts';
import { decodeEntry, decodeWardEntry, encodeEntry, encodeWardEntry } from './entry-codec.ts';
import { wardKeys, wardsKey } from './keys.ts';
import { encodePost } from './outbox.ts';
import { placingsAsStored } from './placings.ts';
import { reach } from './reach.ts';
import type { RecordClient } from './script.ts';
import { entryPlace, wardEntryPlace } from './snapshots.ts';
import { keysOf, lineIdsOf } from './ward-keys-found.ts';

/** Entries sent in one command when a log is written. */
const entriesAtOnce = 500;
/** Lines read in one step where they are read in parts. */
const linesAtOnce = 100;
/** Times a ward is read again because a line was placed meanwhile. */
const attempts = 5;

/**
 * The whole record of a ward as it stood at one instant, closed lines too; null when the store knows no such ward.
 * Throws `RecordUnavailable`, and `UnreadableEntryError` on an entry that is not ours.
 */
export async function readWardCopy(client: RecordClient, wardId: string): Promise<WardCopy | null> {
  const keys = wardKeys(wardId);
  for (let attempt = 1; attempt <= attempts; attempt++) {
    const ids = await lineIdsOf(client, wardId);
    // One transaction: no entry comes between one log and the next.
    const [wardLog = [], listed = [], ...logs] = await readAtOnce(client, [
      ['lrange', keys.wardLog, '0', '-1'],
      ['smembers', keys.lines],
      ...ids.map((id) => ['lrange', keys.lineLog(id), '0', '-1']),
    ]);
    if (listed.some((id) => !ids.includes(id))) continue;
    if (wardLog.length === 0 && ids.length === 0) return null;
    const lines: LineCopy[] = [];
    for (const [line, id] of ids.entries()) {
      lines.push({ id, listed: listed.includes(id), entries: decodeLog(logs[line] ?? [], wardId, id) });
      // Thousands of lines take seconds: whoever presses meanwhile is answered between two of them.
      await breathe();
    }
    return { wardId, wardEntries: decodeWardLog(wardLog, wardId), lines: inOrderRecorded(lines) };
  }
  throw new Error(`ward ${wardId}: lines kept being placed while it was read; try again in a minute.`);
}

/** A ward's record, its lines a part at a time. */
export interface WardInParts {
  wardEntries: WardEntry[];
  /** How many lines there are. */
  count: number;
  /** Each line once, in no order; only a part of them is held. Throws as `readWardCopy` does. */
  lines: () => AsyncGenerator<{ id: string; entries: Entry[] }>;
}

/**
 * The record of a ward for whoever needs no line twice and bears that something is told while it is read: of what is told
 * then, some is in it and some is not. Thousands of lines neither fill the memory nor hold Redis up in one long step. Of a
 * ward that the store does not know, nothing. Throws as `readWardCopy` does.
 */
export async function readWardInParts(client: RecordClient, wardId: string): Promise<WardInParts> {
  const keys = wardKeys(wardId);
  const ids = await lineIdsOf(client, wardId);
  const [wardLog = []] = await readAtOnce(client, [['lrange', keys.wardLog, '0', '-1']]);
  return {
    wardEntries: decodeWardLog(wardLog, wardId),
    count: ids.length,
    async *lines() {
      for (let from = 0; from < ids.length; from += linesAtOnce) {
        const part = ids.slice(from, from + linesAtOnce);
        const logs = await readAtOnce(
          client,
          part.map((id) => ['lrange', keys.lineLog(id), '0', '-1']),
        );
        for (const [line, id] of part.entries())
          yield { id, entries: decodeLog(logs[line] ?? [], wardId, id) };
      }
    },
  };
}

/** What commands answer, asked in one transaction. */
async function readAtOnce(client: RecordClient, commands: string[][]): Promise<string[][]> {
  const replies = await reach('reads', () => client.multi(commands).exec());
  return (replies ?? []).map(([error, reply]) => {
    if (error) throw error;
    return reply as string[];
  });
}

function decodeLog(log: readonly string[], wardId: string, id: string): Entry[] {
  return log.map((text, index) => decodeEntry(text, entryPlace(wardId, id, index)));
}

function decodeWardLog(log: readonly string[], wardId: string): WardEntry[] {
  return log.map((text, index) => decodeWardEntry(text, wardEntryPlace(wardId, index)));
}

/**
 * Writes a copy as the record of a ward that holds nothing, in one transaction, with the wake-ups it owes at `now` (ms)
 * and the cards of the lines on its list to be posted anew. `holds something`: nothing was written.
 * Throws `RecordUnavailable`; where a lost answer leaves it open, the ward holds all or nothing.
 */
export async function writeWardCopy(
  client: RecordClient,
  copy: WardCopy,
  policyIfNone: WardPolicy,
  now: number,
): Promise<'written' | 'holds something'> {
  const { wardId, wardEntries, lines } = copy;
  const keys = wardKeys(wardId);
  const ward = foldWard(wardId, policyIfNone, wardEntries);
  const listed = lines.filter((line) => line.listed);
  const states = lines.map(({ id, entries }) => foldLine(id, entries));
  const isListed = new Set(listed.map(({ id }) => id));
  const animals = new Map(withAnimals(states, states.map(placingOf)).map((line) => [line.id, line]));
  const wakes = wakesOf({ ward, lines: listed.flatMap(({ id }) => animals.get(id) ?? []) }, now);

  await reach('reads', () =>
    client.watch(keys.wardLog, keys.lines, keys.due, keys.out, ...lines.map(({ id }) => keys.lineLog(id))),
  );
  if ((await keysOf(client, wardId)).length > 0) {
    await reach('reads', () => client.unwatch());
    return 'holds something';
  }
  // In a slot of its own; a ward that then stays empty is one that sleeps.
  await reach('writes', () => client.sadd(wardsKey, wardId));
  const commands: string[][] = [];
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
  const placings = placingsAsStored(stillHere(states, isListed, now));
  commands.push(['hset', keys.placings, ...placings]);
  for (const [member, at] of Object.entries(wakes)) commands.push(['zadd', keys.due, String(at), member]);
  const replies = await reach('writes', () => client.multi(commands).exec());
  if (replies === null) return 'holds something';
  for (const [error] of replies) if (error) throw error;
  return 'written';
}
