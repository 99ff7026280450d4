import { createHash } from 'node:crypto';
import type { JobDeps } from '../../src/app/app-deps.ts';
import { hurriedClock } from '../../src/app/clock.ts';
import { deliverPosts } from '../../src/app/deliver-posts.ts';
import { placeLine } from '../../src/app/place-line.ts';
import { recordOnLines } from '../../src/app/record-on-lines.ts';
import { recordOnWard } from '../../src/app/record-on-ward.ts';
import { wakeWard } from '../../src/app/wake-ward.ts';
import { composeMessage } from '../../src/chat/messages/compose.ts';
import { dutiesOfLine } from '../../src/domain/duties/duties-of-line.ts';
import { usualDrafts } from '../../src/domain/duties/usual-drafts.ts';
import { redisRecord } from '../../src/redis/redis-record.ts';
import type { TestRedis } from '../support/redis-for-tests.ts';
import { benchDeps, policy } from './bench-ward.ts';
import type { Measured } from './measured.ts';

const wardId = 'T0BENCH.C0BYTES';
const lineCount = 10;
const dayMs = 24 * 3_600_000;

/**
 * Bytes Redis holds for one line after one day flushed by hand: everything due is reminded of, done three minutes
 * later and told; every message is sent and brought up to date. MEMORY USAGE of all the ward's keys, by line.
 */
export async function lineDayBytes(redis: TestRedis): Promise<Measured[]> {
  const client = redis.client();
  const startMs = Date.parse('2026-11-24T08:00:00Z');
  const clock = hurriedClock(startMs, 1, () => 0);
  let real = Date.now();
  const record = redisRecord({ client, defaultPolicy: policy, realNow: () => real, laneGapMs: 0 });
  const names = { of: async (user: string) => user };
  let sent = 0;
  const deps: JobDeps = {
    ...benchDeps(record, clock),
    realNow: () => real,
    messenger: {
      async compose(post, view, now) {
        const message = await composeMessage(post, view, names, now);
        const hash = createHash('sha256').update(JSON.stringify(message)).digest('base64url').slice(0, 12);
        return { message, hash, settled: message.settled };
      },
      send: async () => ({
        is: 'sent',
        place: 'C0BYTES',
        id: `1795543200.${String(++sent).padStart(6, '0')}`,
      }),
      update: async (_ward, _post, { place, id }) => ({ is: 'sent', place, id }),
      lookAtChannel: async () => 'open' as const,
      find: async () => null,
      takeAway: async () => undefined,
    },
  };
  const intent = { wardId, by: 'U0NURSE01', via: 'button' } as const;
  await recordOnWard(deps, intent, { kind: 'onCallSet', body: { user: 'U0CLIN001' } });
  for (let index = 0; index < lineCount; index++) {
    clock.jumpTo(startMs + index * 61_000);
    await placeLine(deps, intent, {
      patient: { name: `Patient ${index}`, species: 'dog', weightKg: 28 },
      site: 'dorsal pedal',
      side: 'left',
      gauge: 20,
      flushMode: 'manual',
      nurse: 'U0NURSE01',
    });
  }
  const look = async () => {
    real += 1_000;
    await wakeWard(deps, wardId);
    await deliverPosts(deps, wardId);
  };
  for (
    let next = await record.nextWake(wardId);
    next !== null && next < startMs + dayMs;
    next = await record.nextWake(wardId)
  ) {
    clock.jumpTo(next);
    await look();
    clock.jumpTo(clock.now() + 3 * 60_000);
    const { ward, lines } = await record.readWard(wardId);
    for (const line of lines) {
      const now = clock.now();
      const due = dutiesOfLine(line, ward.policy, now).filter(({ dueAt }) => dueAt <= now + 7 * 60_000);
      const items = usualDrafts(due.map(({ kind }) => kind)).map((draft) => ({
        lineId: line.id,
        draft,
      }));
      if (items.length > 0) await recordOnLines(deps, { ...intent, once: `${line.id}|${now}` }, items);
    }
    await look();
  }
  const { lines } = await record.readWard(wardId);
  const entries = lines.reduce((sum, { version }) => sum + version, 0) / lineCount;
  const keys = await client.keys(`{${wardId}}*`);
  let bytes = 0;
  for (const key of keys) bytes += Number(await client.memory('USAGE', key, 'SAMPLES', 0));
  const logs = (
    await Promise.all(
      lines.map(({ id }) => client.memory('USAGE', `{${wardId}}:line:${id}:log`, 'SAMPLES', 0)),
    )
  ).map(Number);
  const logBytes = logs.reduce((sum, one) => sum + one, 0) / lineCount;
  return [
    {
      what: `Redis bytes a line-day, ${entries.toFixed(0)} entries by hand-flushed line, all keys`,
      ours: `${(bytes / lineCount / 1000).toFixed(1)} kB`,
      raw: `${(logBytes / 1000).toFixed(1)} kB (the log alone)`,
      ratio: bytes / lineCount / logBytes,
      aim: '≤ 10 kB',
    },
  ];
}
