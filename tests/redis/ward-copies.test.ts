import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { inOrderRecorded, type LineCopy, type WardCopy } from '../../src/app/ward-copy.ts';
import { foldLine } from '../../src/domain/fold/fold-line.ts';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import { foldWard } from '../../src/domain/ward/ward-state.ts';
import { redisRecord } from '../../src/redis/redis-record.ts';
import { readWardCopy, readWardInParts, writeWardCopy } from '../../src/redis/ward-copies.ts';
import { nightWard, wardCopy } from '../export/ward-copies.ts';
import * as fc from '../support/properties.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

const policy = defaultPolicy('UTC');
const { copy, now } = nightWard();
let redis: SharedRedis;
let client: ReturnType<SharedRedis['client']>;
beforeAll(async () => {
  redis = await sharedRedis();
  client = redis.client();
});
afterAll(() => redis.stop());
beforeEach(async () => {
  await client.flushall();
});

/** Tells Redis a whole copy the way the bot does: one change. */
async function tell({ wardId, wardEntries, lines }: WardCopy): Promise<void> {
  const record = redisRecord({ client, defaultPolicy: policy });
  const outcome = await record.commit(wardId, {
    lines: lines.map(({ id, listed, entries }) => ({
      id,
      expected: 0,
      entries,
      after: foldLine(id, entries),
      listed,
    })),
    ward: { expected: 0, entries: wardEntries, after: foldWard(wardId, policy, wardEntries) },
    wakes: {},
    posts: [],
  });
  expect(outcome).toMatchObject({ is: 'written' });
}

/** Adds one line to the ward, as a nurse's registering does. */
async function place({ id, listed, entries }: LineCopy): Promise<void> {
  const record = redisRecord({ client, defaultPolicy: policy });
  const after = foldLine(id, entries);
  const lines = [{ id, listed, expected: 0, entries, after }];
  expect(await record.commit(copy.wardId, { lines, wakes: {}, posts: [] })).toMatchObject({ is: 'written' });
}

describe('a ward in parts', () => {
  test('is its whole record, each line once, however many parts it takes', async () => {
    const [line] = copy.lines;
    if (!line) throw new Error('the night has lines');
    const many = Array.from({ length: 201 }, (_, index) => ({ ...line, id: `many-${index}`, listed: false }));
    await tell({ ...copy, lines: [...copy.lines, ...many] });
    const { wardEntries, count, lines } = await readWardInParts(client, copy.wardId);
    const read: { id: string; entries: unknown[] }[] = [];
    for await (const line of lines()) read.push(line);
    expect([wardEntries, count]).toEqual([copy.wardEntries, copy.lines.length + 201]);
    const byId = (all: readonly { id: string; entries: unknown[] }[]) =>
      all.map(({ id, entries }) => ({ id, entries })).toSorted((a, b) => (a.id < b.id ? -1 : 1));
    expect(byId(read)).toEqual(byId([...copy.lines, ...many]));
  });

  test('is of a ward that nothing was told of nothing', async () => {
    const { wardEntries, count, lines } = await readWardInParts(client, 'T0.C0');
    const { done } = await lines().next();
    expect([wardEntries, count, done]).toEqual([[], 0, true]);
  });
});

describe('the copy of a ward', () => {
  test('holds all that was told to the record, lines off the list too, and nothing of another ward', async () => {
    const closed = { ...copy, lines: copy.lines.map((line, index) => ({ ...line, listed: index === 0 })) };
    await tell(closed);
    await tell({ ...copy, wardId: 'T0TEST.C0WARDS' });
    await tell({ ...copy, wardId: '*' });
    expect(await readWardCopy(client, copy.wardId)).toEqual(closed);
    expect(await readWardCopy(client, '*')).toEqual({ ...copy, wardId: '*' });
  });

  test('is null of a ward the store does not know', async () => {
    expect(await readWardCopy(client, 'T0.C0')).toBeNull();
  });

  test('written to an empty store is the record as it was, with its duties, read by the bot’s own reader', async () => {
    const record = redisRecord({ client, defaultPolicy: policy });
    await tell(copy);
    const before = await record.readWard(copy.wardId);
    await client.flushall();
    expect(await writeWardCopy(client, copy, policy, now)).toBe('written');
    expect(await record.readWard(copy.wardId)).toEqual(before);
    expect(await record.wardIds()).toEqual([copy.wardId]);
    // Late flush of one line, late pulse check of the other: the ward is woken at once, not at the next deep sweep.
    expect(await record.nextWake(copy.wardId)).toBeLessThanOrEqual(now);
    const { row } = (await record.takePost(copy.wardId, now)) as { row: { post: { key: string } } };
    expect(row.post.key).toBe('9.card.line-1');
  });

  test('comes back from Redis whatever was told', async () => {
    await fc.assert(
      fc.asyncProperty(wardCopy, async (any) => {
        await client.flushall();
        const written = await writeWardCopy(client, any, policy, now);
        const isEmpty = any.wardEntries.length === 0 && any.lines.length === 0;
        expect(written).toBe('written');
        expect(await readWardCopy(client, any.wardId)).toEqual(
          isEmpty ? null : { ...any, lines: inOrderRecorded(any.lines) },
        );
      }),
      { numRuns: 25 },
    );
  });

  test('is written whole where a log has more entries than one command takes', async () => {
    const [line] = copy.lines;
    const first = line?.entries[0];
    if (!line || !first) throw new Error('no line');
    const flush = {
      at: first.at,
      told: first.told,
      by: 'n',
      via: 'form',
      kind: 'flushed',
      body: {},
    } as const;
    const entries = [first, ...Array.from({ length: 9_000 }, () => flush)];
    const long = { ...copy, lines: [{ ...line, entries }] };
    expect(await writeWardCopy(client, long, policy, now)).toBe('written');
    expect(await client.llen(`{${copy.wardId}}:line:${line.id}:log`)).toBe(9_001);
  });

  test.each([
    ['a line', () => tell({ ...copy, wardEntries: [] })],
    ['a word of its own', () => tell({ ...copy, lines: [] })],
    ['anything else', () => client.set(`{${copy.wardId}}:lanes`, 'x')],
  ])('is not written to a ward that holds %s', async (_, hold) => {
    await hold();
    const before = (await client.keys('*')).toSorted();
    expect(await writeWardCopy(client, copy, policy, now)).toBe('holds something');
    expect((await client.keys('*')).toSorted()).toEqual(before);
  });

  test('is written to an empty ward whatever its id, beside others', async () => {
    await tell(copy);
    for (const wardId of ['*', 'T[0-9].C?', 'T\\.C']) {
      expect(await writeWardCopy(client, { ...copy, wardId }, policy, now)).toBe('written');
      expect(await readWardCopy(client, wardId)).toEqual({ ...copy, wardId });
      expect(await writeWardCopy(client, { ...copy, wardId }, policy, now)).toBe('holds something');
    }
  });

  test('is written once where another writes between the look and the write', async () => {
    const slow = redis.client();
    const scan = slow.scan.bind(slow) as (...args: unknown[]) => Promise<[string, string[]]>;
    let other: string | null = null;
    slow.scan = (async (...args: unknown[]) => {
      const found = await scan(...args);
      other ??= await writeWardCopy(client, copy, policy, now);
      return found;
    }) as typeof slow.scan;
    const changed = { ...copy, wardEntries: [] };
    expect([await writeWardCopy(slow, changed, policy, now), other]).toEqual(['holds something', 'written']);
    expect(await readWardCopy(client, copy.wardId)).toEqual(copy);
  });

  test('is read again where a line was placed between the look and the reading', async () => {
    const [first, ...rest] = copy.lines;
    if (!first) throw new Error('no line');
    await tell({ ...copy, lines: rest });
    const slow = redis.client();
    const scan = slow.scan.bind(slow) as (...args: unknown[]) => Promise<[string, string[]]>;
    let looks = 0;
    slow.scan = (async (...args: unknown[]) => {
      const found = await scan(...args);
      looks += 1;
      if (looks === 1) await place(first);
      return found;
    }) as typeof slow.scan;
    expect(await readWardCopy(slow, copy.wardId)).toEqual(copy);
  });
});
