import { randomBytes } from 'node:crypto';
import type { TestContext } from 'vitest';
import { timerPrefixOf } from '../../src/app/timers.ts';
import { startWorkers } from '../../src/jobs/worker.ts';
import { createMetrics } from '../../src/observe/metrics.ts';
import { bullmqAlarm } from '../../src/redis/bullmq-alarm.ts';
import { connect, openCommands, untilReady } from '../../src/redis/connections.ts';
import { replicaCopies } from '../../src/redis/copies.ts';
import { redisRecord } from '../../src/redis/redis-record.ts';
import { evening, flushed, lineChange, nothing, placed, policy } from '../contract/ward-changes.ts';
import { notingWatch } from '../jobs/ward-night.ts';
import { type RedisFleet, until } from '../support/redis-fleet.ts';

export const wardId = 'T0TEST.C0WARD';

/** A record on a fleet as the bot has it. */
export async function recordOn(fleet: RedisFleet, { onTestFinished }: TestContext, wanted = 1) {
  const client = openCommands({ url: fleet.url }, () => {});
  const waiter = openCommands({ url: fleet.url }, () => {});
  onTestFinished(() => {
    client.disconnect();
    waiter.disconnect();
  });
  await Promise.all([untilReady(client, 10_000), untilReady(waiter, 10_000)]);
  const troubles: string[] = [];
  const copies = replicaCopies({ client: waiter, wanted, trouble: (what) => void troubles.push(what) });
  return { client, copies, troubles, record: redisRecord({ client, defaultPolicy: policy, copies }) };
}

/** The alarm clock on a fleet, and a worker that hears it. */
export async function alarmOn({ url }: RedisFleet, { onTestFinished }: TestContext) {
  const clock = { now: () => Date.now() };
  const watch = notingWatch();
  const alarm = bullmqAlarm({ target: { url }, clock, watch });
  onTestFinished(() => alarm.close());
  const woken = new Set<string>();
  const workers = await startWorkers({
    connect: () => connect({ url }, 'jobs'),
    prefixes: alarm.prefixes,
    cases: {
      wakeWard: async (ward) => void woken.add(ward),
      deliverPosts: async () => undefined,
      sweepWards: async () => undefined,
    },
    clock,
    sweepEveryMs: 3_600_000,
    watch,
    metrics: createMetrics({ withProcessMetrics: false }),
    canary: { everyMs: 3_600_000, set: async () => undefined, ran: async () => undefined },
  });
  onTestFinished(() => workers.close());
  return {
    /** Sets a wake-up in each part of the queue and waits until it came, without any sweep. */
    async wake() {
      await Promise.all(
        alarm.prefixes.map(async (prefix) => {
          const ward = wardUnder(prefix, alarm.prefixes);
          await until(`the wake-up under ${prefix}`, async () => {
            // Best effort, as it is in the bot, where a sweep tries again.
            if (!woken.has(ward)) await alarm.wakeAt(ward, Date.now() + 100);
            return woken.has(ward);
          });
        }),
      );
    },
  };
}

/** A new ward whose jobs stand under this prefix. */
function wardUnder(prefix: string, prefixes: readonly string[]): string {
  for (;;) {
    const ward = `T0TEST.C${randomBytes(4).toString('hex')}`;
    if (timerPrefixOf(ward, prefixes) === prefix) return ward;
  }
}

/** Records flushes one after the other, each again until it's taken; acknowledged are those that were confirmed as copied. */
export function nurse(
  { record, copies }: Pick<Awaited<ReturnType<typeof recordOn>>, 'record' | 'copies'>,
  line: string,
) {
  let written = 0;
  const acknowledged: string[] = [];
  const refused: unknown[] = [];
  let stopped = false;
  const running = (async () => {
    await record.commit(wardId, { ...nothing, lines: [lineChange(line, [], [placed()])] });
    for (let number = 0; !stopped; number++) {
      const entry = flushed(evening + number * 60_000, `nurse ${number}`);
      while (!stopped) {
        try {
          const stored = await record.readLog(wardId, line);
          const change = {
            ...nothing,
            once: `${line} ${number}`,
            lines: [lineChange(line, stored, [entry])],
          };
          const { is } = await record.commit(wardId, change);
          if (is === 'conflict') continue;
          written += 1;
          if (copies.missingSince() === null) acknowledged.push(entry.by);
          break;
        } catch (error) {
          refused.push(error);
          await new Promise((resolve) => setTimeout(resolve, 50));
        }
      }
      await new Promise((resolve) => setTimeout(resolve, 5));
    }
  })();
  return {
    acknowledged,
    refused,
    written: () => written,
    async stop() {
      stopped = true;
      await running;
    },
  };
}
