import { describe, expect, test } from 'vitest';
import { notifyLoss } from '../../src/app/notify-loss.ts';
import type { WardRecord } from '../../src/app/ports.ts';
import { RecordUnavailable } from '../../src/app/record-unavailable.ts';
import { type Loss, type UnshrinkingRecord, unshrinkingRecord } from '../../src/app/unshrinking-record.ts';
import { lossWords } from '../../src/wording/notices/lost-entries.ts';
import {
  evening,
  flushed,
  lineChange,
  nothing,
  onCall,
  placed,
  policy,
  take,
  wardChange,
} from '../contract/ward-changes.ts';
import { memoryRecord } from '../support/memory-record.ts';

const wardId = 'T0TEST.C0WARD';
const log = [placed(), flushed(evening + 60_000), flushed(evening + 120_000)];
const placing = { ...nothing, lines: [lineChange('a', [], log.slice(0, 1))] };
const flushing = { ...nothing, lines: [lineChange('a', log.slice(0, 1), log.slice(1))] };

/** A server that holds the line and two flushes, and the one that takes over, which got the line alone. */
async function failingOver(older = [placing]) {
  const master = memoryRecord(policy);
  const replica = memoryRecord(policy);
  for (const change of [placing, flushing]) await master.commit(wardId, change);
  for (const change of older) await replica.commit(wardId, change);
  let serving = master;
  const current = new Proxy({} as WardRecord, {
    get: (_, name) => (serving as unknown as Record<string | symbol, unknown>)[name],
    ownKeys: () => Reflect.ownKeys(master),
    getOwnPropertyDescriptor: () => ({ configurable: true, enumerable: true }),
  });
  const losses: Loss[] = [];
  const told = Promise.withResolvers<void>();
  const watched = unshrinkingRecord(current, async (loss) => {
    losses.push(loss);
    await told.promise;
  });
  return { watched, losses, told, failOver: () => void (serving = replica), master, replica };
}

const readings: [string, (record: UnshrinkingRecord) => Promise<unknown>][] = [
  ['readWard', (record) => record.readWard(wardId)],
  ['readLine', (record) => record.readLine(wardId, 'a')],
  ['readLines', (record) => record.readLines(wardId, ['a'])],
];

describe('a record that is shorter than it was', () => {
  test.each(readings)('is found by %s, and refused until the ward was told', async (_, read) => {
    const { watched, losses, told, failOver } = await failingOver();
    await read(watched);
    failOver();
    await expect(read(watched)).rejects.toBeInstanceOf(RecordUnavailable);
    expect(losses).toEqual([{ wardId, lines: [{ id: 'a', name: 'Biscuit', had: 3, has: 1 }], ward: 0 }]);
    for (const [, other] of readings) await expect(other(watched)).rejects.toBeInstanceOf(RecordUnavailable);
    await expect(watched.commit(wardId, nothing)).rejects.toBeInstanceOf(RecordUnavailable);
    // Other wards go on.
    expect((await watched.readWard('T0TEST.C0OTHER')).lines).toEqual([]);
    told.resolve();
    await told.promise;
    await Promise.resolve();
    expect((await watched.readLine(wardId, 'a'))?.version).toBe(1);
    expect(losses).toHaveLength(1);
  });

  test('is found where a whole line is gone, also from the ward’s list', async () => {
    const { watched, losses, failOver } = await failingOver([]);
    await watched.readWard(wardId);
    failOver();
    await expect(watched.readWard(wardId)).rejects.toBeInstanceOf(RecordUnavailable);
    expect(losses[0]?.lines).toEqual([{ id: 'a', name: 'Biscuit', had: 3, has: 0 }]);
  });

  test('is found by what this process wrote itself, without reading it first', async () => {
    const { watched, losses, failOver } = await failingOver();
    const more = { ...nothing, lines: [lineChange('a', log, [flushed(evening + 180_000)])] };
    expect((await watched.commit(wardId, more)).is).toBe('written');
    failOver();
    await expect(watched.readLine(wardId, 'a')).rejects.toBeInstanceOf(RecordUnavailable);
    expect(losses[0]?.lines).toMatchObject([{ had: 4, has: 1 }]);
  });

  test('is found in the ward’s own log', async () => {
    const { watched, losses, failOver, master } = await failingOver([placing, flushing]);
    await master.commit(wardId, { ...nothing, ward: wardChange(wardId, [], [onCall('vera')]) });
    await watched.readWardState(wardId);
    failOver();
    await expect(watched.readWardState(wardId)).rejects.toBeInstanceOf(RecordUnavailable);
    expect(losses).toEqual([{ wardId, lines: [], ward: 1 }]);
  });

  test('is not: a line that left the list, nor a ward that was emptied on purpose', async () => {
    const { watched, losses, master } = await failingOver();
    await watched.readWard(wardId);
    await master.commit(wardId, {
      ...nothing,
      lines: [lineChange('a', log, [flushed(evening + 180_000)], false)],
    });
    expect((await watched.readWard(wardId)).lines).toEqual([]);
    const { watched: other, failOver } = await failingOver([]);
    await other.readWard(wardId);
    failOver();
    other.forget(wardId);
    expect((await other.readWard(wardId)).lines).toEqual([]);
    expect(losses).toEqual([]);
  });
});

describe('the ward', () => {
  const loss: Loss = { wardId, lines: [{ id: 'a', name: 'Biscuit', had: 3, has: 1 }], ward: 0 };

  test('is told once what is gone, however many processes find it', async () => {
    const record = memoryRecord(policy);
    const troubles: string[] = [];
    let now = evening;
    const parts = {
      record,
      clock: { now: () => now++ },
      watch: {
        entryAccepted: () => undefined,
        conflict: () => undefined,
        notified: () => undefined,
        posted: () => undefined,
        repaired: () => undefined,
        trouble: (what: string) => void troubles.push(what),
      },
    };
    await notifyLoss(parts, loss);
    await notifyLoss(parts, loss);
    const { post } = await take(record, wardId, Date.now());
    expect(post).toMatchObject({ kind: 'notice', to: 'ward', about: { text: lossWords(loss) } });
    await record.postDone(wardId, post.key, { place: 'C0WARD', id: '1', hash: 'x' }, true);
    expect(await record.takePost(wardId, Date.now() + 5_000)).not.toHaveProperty('row');
    expect(troubles[0]).toContain('lost entries');
  });

  test('reads how much of what is gone', () => {
    expect(lossWords(loss)).toContain('Missing: Biscuit: 2 entries. Check');
    const more = [...loss.lines, { id: 'b', name: 'Otto', had: 2, has: 0 }];
    expect(lossWords({ lines: more, ward: 1 })).toContain(
      'Missing: Biscuit: 2 entries; Otto: the whole line; the ward’s own record (policy, on call, handovers): 1 entry.',
    );
  });
});
