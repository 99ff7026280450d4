import { recordOnLines } from '../../src/app/record-on-lines.ts';
import type { EntryDraft } from '../../src/domain/record/entry.ts';
import { redisRecord } from '../../src/redis/redis-record.ts';
import type { TestRedis } from '../support/redis-for-tests.ts';
import { benchDeps, caredForLine, fillWard, policy } from './bench-ward.ts';
import type { Measured } from './measured.ts';

const wardId = 'T0BENCH.C0ENTRIES';
const lineCount = 50;
const entriesEach = 40;

/**
 * Durable entries a second, told through the whole path (read ward and line, decide, fold, one atomic commit with
 * snapshot, wake-up and touched messages), against MULTI RPUSH + SET of the same bytes. Synced at every write.
 */
export async function durableEntries(redis: TestRedis): Promise<Measured[]> {
  const client = redis.client();
  const record = redisRecord({ client, defaultPolicy: policy });
  const began = Date.now() - 60_000;
  const lines = Array.from({ length: lineCount }, (_, index) => caredForLine(`e${index}`, began, 'manual'));
  await fillWard(record, wardId, lines, began);
  let now = began + 1_000;
  // Each telling a minute and more after the one before, so that none is taken for the same thing told twice.
  const deps = benchDeps(record, { now: () => now });
  const draft: EntryDraft = { kind: 'flushed', body: { volumeMl: 1 } };
  const tell = (line: number) =>
    recordOnLines(deps, { wardId, by: 'U0NURSE', via: 'button' }, [{ lineId: `e${line}`, draft }]);
  const entryBytes = 'x'.repeat((await client.lindex(`{${wardId}}:line:e0:log`, -1))?.length ?? 0);
  const snapshotBytes = 'x'.repeat((await client.get(`{${wardId}}:line:e0`))?.length ?? 0);
  const append = (line: number) =>
    client.multi().rpush(`{raw}:${line}:log`, entryBytes).set(`{raw}:${line}`, snapshotBytes).exec();

  const rates = async (write: (line: number) => Promise<unknown>) => {
    const alone = performance.now();
    for (let index = 0; index < entriesEach * 10; index++) {
      now += 61_000;
      await write(index % lineCount);
    }
    const aloneRate = (entriesEach * 10 * 1000) / (performance.now() - alone);
    const together = performance.now();
    for (let round = 0; round < entriesEach; round++) {
      now += 61_000;
      await Promise.all(Array.from({ length: lineCount }, (_, line) => write(line)));
    }
    const togetherRate = (entriesEach * lineCount * 1000) / (performance.now() - together);
    return { alone: aloneRate, together: togetherRate };
  };
  // Warm both ways before either is timed.
  await append(0);
  await tell(0);
  const raw = await rates(append);
  const ours = await rates(tell);
  const row = (what: string, oursRate: number, rawRate: number): Measured => ({
    what,
    ours: `${oursRate.toFixed(0)} /s`,
    raw: `${rawRate.toFixed(0)} /s`,
    ratio: rawRate / oursRate,
    aim: '≤ 1.5',
  });
  return [
    row('durable entries, 50 lines at once', ours.together, raw.together),
    row('durable entries, one at a time', ours.alone, raw.alone),
  ];
}
