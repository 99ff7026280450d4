import { threadPace } from '../../src/app/pace.ts';
import { sweepWards } from '../../src/app/sweep-wards.ts';
import { turnsOfThread } from '../../src/event-loop/thread-turns.ts';
import { redisRecord } from '../../src/redis/redis-record.ts';
import type { TestRedis } from '../support/redis-for-tests.ts';
import { benchDeps, caredForLine, fillWard, policy, policyBetweenShifts, silentAlarm } from './bench-ward.ts';
import { type Measured, ms } from './measured.ts';

const linesAWard = 10;
const runs = 3;

/**
 * A sweep of 1,000 wards of 10 lines: the look for what is past due, and the same with every index checked against its record,
 * against the same reads one ward after the other.
 */
export async function sweepSpeed(redis: TestRedis): Promise<Measured[]> {
  const wards = Number(process.env['BENCH_WARDS'] ?? 1_000);
  const now = Date.now();
  const itsPolicy = policyBetweenShifts(now);
  const record = redisRecord({ client: redis.client(), defaultPolicy: policy });
  const ids = Array.from({ length: wards }, (_, index) => `T0BENCH.C0S${index}`);
  for (let start = 0; start < wards; start += 50)
    await Promise.all(
      ids.slice(start, start + 50).map((wardId) =>
        fillWard(
          record,
          wardId,
          Array.from({ length: linesAWard }, (_, line) => caredForLine(`l${line}`, now, 'manual')),
          now,
          itsPolicy,
        ),
      ),
    );
  const writes: string[] = [];
  const alarm = { ...silentAlarm, wakeAt: async (wardId: string) => void writes.push(wardId) };
  const deps = {
    ...benchDeps(record, { now: () => now + 1_000 }, alarm),
    messenger: undefined as never,
    realNow: Date.now,
    pace: threadPace(turnsOfThread),
  };
  const median = async (work: () => Promise<unknown>) => {
    const times: number[] = [];
    for (let run = 0; run < runs; run++) {
      const began = performance.now();
      await work();
      times.push(performance.now() - began);
    }
    return times.toSorted((a, b) => a - b)[1] ?? Number.NaN;
  };
  const oneByOne = await median(async () => {
    for (const wardId of ids) {
      await record.readWard(wardId);
      await record.nextWake(wardId);
    }
  });
  const light = await median(() => sweepWards(deps, { deep: false, setAheadMs: 90_000 }));
  const written = writes.length / runs;
  const deep = await median(() => sweepWards(deps, { deep: true, setAheadMs: 90_000 }));
  return [
    {
      what: `sweep of ${wards} wards of ${linesAWard} lines, what is past due; it sets ${written} wake-ups`,
      ours: ms(light),
      raw: `${ms(oneByOne)} (each ward read, one after the other)`,
      ratio: light / oneByOne,
      aim: '< 1,000 ms',
    },
    {
      what: 'the same, every index checked against its record',
      ours: ms(deep),
      raw: ms(oneByOne),
      ratio: deep / oneByOne,
      aim: '',
    },
  ];
}
