import type { Change, Post, WardRecord } from '../../src/app/ports.ts';
import { foldLine } from '../../src/domain/fold/fold-line.ts';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import type { DraftOf, Entry } from '../../src/domain/record/entry.ts';
import type { WardEntry } from '../../src/domain/ward/ward-entry.ts';
import { foldWard } from '../../src/domain/ward/ward-state.ts';

/** The policy of wards that never set one, in these tests. */
export const policy = defaultPolicy('Europe/Berlin');
/** Ward time at which everything here begins: Tue 24 Nov 2026, 19:00 in Berlin. */
export const evening = Date.UTC(2026, 10, 24, 18);
/** Real time at which posts are taken. */
export const realNow = Date.UTC(2026, 10, 24, 18, 0, 30);

const placedBody: DraftOf<'placed'>['body'] = {
  patient: { name: 'Biscuit', species: 'dog', weightKg: 28 },
  site: 'dorsal pedal',
  side: 'left',
  gauge: 20,
  flushMode: 'manual',
  nurse: 'nina',
};

export function placed(at = evening): Entry {
  return { kind: 'placed', at, told: at, by: 'nina', via: 'form', body: placedBody };
}

export function flushed(at: number, by = 'nina'): Entry {
  return { kind: 'flushed', at, told: at, by, via: 'button', body: { volumeMl: 1 } };
}

export function onCall(user: string, at = evening): WardEntry {
  return { kind: 'onCallSet', at, told: at, by: 'nina', via: 'command', body: { user } };
}

export const nothing: Change = { lines: [], wakes: {}, posts: [] };

/** A change that adds `added` to a line whose log is `log`. */
export function lineChange(
  id: string,
  log: readonly Entry[],
  added: Entry[],
  listed = true,
): Change['lines'][number] {
  return { id, expected: log.length, entries: added, after: foldLine(id, [...log, ...added]), listed };
}

/** A change that adds `added` to the own log of a ward, which is `log`. */
export function wardChange(
  wardId: string,
  log: readonly WardEntry[],
  added: WardEntry[],
): NonNullable<Change['ward']> {
  return { expected: log.length, entries: added, after: foldWard(wardId, policy, [...log, ...added]) };
}

export function card(lineId: string, changes: Partial<Post> = {}): Post {
  return {
    key: `9.card.${lineId}`,
    kind: 'card',
    to: 'ward',
    lines: [lineId],
    asked: [],
    at: evening,
    ...changes,
  };
}

/** Takes the post that is next, which must be there. */
export async function take(record: WardRecord, wardId: string, at: number) {
  const taken = await record.takePost(wardId, at);
  if (!('row' in taken)) throw new Error(`no post is ready; again at ${taken.againAt}`);
  return taken.row;
}

/** Takes every post whose lane allows it, a second of real time after the other, and says their keys. */
export async function takenKeys(
  record: WardRecord,
  wardId: string,
  from: number,
  seconds = 20,
): Promise<string[]> {
  const keys: string[] = [];
  for (let second = 0; second < seconds; second++) {
    for (;;) {
      const taken = await record.takePost(wardId, from + second * 1_000);
      if (!('row' in taken)) break;
      keys.push(taken.row.post.key);
    }
  }
  return keys;
}

/** Sends the next post as the platform would: it stands at `place` with the words `hash`. */
export async function sendNext(
  record: WardRecord,
  wardId: string,
  at: number,
  hash = 'words',
  settled = false,
) {
  const row = await take(record, wardId, at);
  await record.postTrying(wardId, row.post.key, at);
  await record.postDone(wardId, row.post.key, { place: 'C0123', id: `${at / 1000}`, hash }, settled);
  return row;
}
