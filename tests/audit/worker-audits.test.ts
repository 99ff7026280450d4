import { randomBytes } from 'node:crypto';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { AuditFailed, type AuditProgress } from '../../src/app/audits.ts';
import { type WorkerAuditsOptions, workerAudits } from '../../src/audit/worker-audits.ts';
import { wardAudit } from '../../src/domain/audit/ward-audit.ts';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import { openCommands, untilReady } from '../../src/redis/connections.ts';
import type { RecordClient } from '../../src/redis/script.ts';
import { writeWardCopy } from '../../src/redis/ward-copies.ts';
import { hour, LineLog, wall, wardZone } from '../support/line-builder.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let server: SharedRedis;
let redis: RecordClient;
beforeAll(async () => {
  server = await sharedRedis();
  redis = openCommands(server.connection, () => {});
  await untilReady(redis, 5_000);
});
afterAll(async () => {
  redis.disconnect();
  await server.stop();
});
beforeEach(() => redis.flushall());

const wardId = 'T0TEST.C0WARD';
const policy = defaultPolicy(wardZone);
const period = { fromMs: wall('2026-09-01 00:00'), toMs: wall('2026-10-01 00:00') };
const copy = {
  wardId,
  wardEntries: [],
  lines: Array.from({ length: 60 }, (_, index) => {
    const id = randomBytes(5).toString('hex');
    const log = new LineLog(
      period.fromMs + index * hour,
      { operator: 'ada', tries: 1 + (index % 2), patient: { name: `Animal ${index}` } },
      id,
    ).add('removed', period.fromMs + (index + 30) * hour, { reason: index % 5 ? 'planned' : 'occluded' });
    return { id, listed: false, entries: log.entries };
  }).toSorted((a, b) => (a.id < b.id ? -1 : 1)),
};

function audits(more: Partial<WorkerAuditsOptions> = {}) {
  const troubles: string[] = [];
  const real = { now: 1_000_000 };
  return {
    troubles,
    real,
    audits: workerAudits({
      target: server.connection,
      wardZone,
      realNow: () => real.now,
      trouble: (what, _ids, cause) =>
        troubles.push(`${what}: ${cause instanceof Error ? cause.message : ''}`),
      ...more,
    }),
  };
}

describe('workerAudits', () => {
  it('counts the record in a thread of its own as it is counted here, and says how far it is', async () => {
    await writeWardCopy(redis, copy, policy, period.toMs);
    const { audits: made, troubles } = audits();
    const told: AuditProgress[] = [];
    const audited = await made.of(wardId, period, { progress: (progress) => told.push(progress) });
    // Of one time the order of lines is the store's; counts do not hang on it.
    expect(audited.audit).toEqual(wardAudit(copy, policy, period));
    expect(told.at(-1)).toEqual({ linesDone: 60, lines: 60 });
    expect(told.length).toBeGreaterThan(10);
    expect(Object.keys(audited.curvePictures)).toEqual(['ada']);
    for (const { pngBytes } of [...audited.pictures, ...Object.values(audited.curvePictures)])
      expect(Buffer.from(pngBytes.slice(0, 4)).toString('hex')).toBe('89504e47');
    expect(audited.pictures.length).toBeGreaterThan(1);
    expect(troubles).toEqual([]);
  });

  it('is of nothing for a ward that nothing was told of', async () => {
    const { audit, pictures, curvePictures } = await audits().audits.of(wardId, period);
    expect([audit.lines.all.lines, pictures, curvePictures]).toEqual([0, [], {}]);
  });

  it('shares a count that is being made, and makes a new one afterwards unless one that is kept will do', async () => {
    await writeWardCopy(redis, copy, policy, period.toMs);
    const { audits: made, real } = audits();
    const heard: number[] = [];
    const [one, other] = await Promise.all([
      made.of(wardId, period),
      made.of(wardId, period, { progress: ({ linesDone }) => heard.push(linesDone) }),
    ]);
    expect(other).toBe(one);
    expect(heard.at(-1)).toBe(60);
    expect(await made.of(wardId, period, { keptWillDo: true })).toBe(one);
    expect(await made.of(wardId, period)).not.toBe(one);
    const latest = await made.of(wardId, period, { keptWillDo: true });
    real.now += 10 * 60_000;
    expect(await made.of(wardId, period, { keptWillDo: true })).not.toBe(latest);
  });

  it.each([
    ['throws', /^an audit could not be made: the thread threw$/],
    ['leaves', /^an audit could not be made: the thread ended with code 3 before it was done$/],
    ['hangs', /^an audit could not be made: the count took longer than 1500 ms$/],
  ])(
    'says to whoever asked that it failed, and why to the operator, where the thread %s',
    async (how, why) => {
      const program = new URL('./failing-worker.ts', import.meta.url);
      // A thread that does not hang is waited for however busy the machine is.
      const { audits: made, troubles } = audits({
        program,
        ...(how === 'hangs' ? { patienceMs: 1_500 } : {}),
      });
      const failure = await made.of(how, period).catch((error: unknown) => error);
      expect(failure).toBeInstanceOf(AuditFailed);
      expect((failure as Error).message).toMatch(
        /^The lines could not be counted just now\. .* Ask again in a minute/,
      );
      expect(troubles).toEqual([expect.stringMatching(why)]);
    },
  );

  it('keeps a failure a minute for whoever waits for that count, and counts anew for whoever asks', async () => {
    const program = new URL('./failing-worker.ts', import.meta.url);
    const { audits: made, troubles, real } = audits({ program });
    const failing = (asked = {}) => expect(made.of('throws', period, asked)).rejects.toThrow(AuditFailed);
    await failing();
    await failing({ keptWillDo: true });
    expect(troubles).toHaveLength(1);
    await failing();
    real.now += 60_000;
    await failing({ keptWillDo: true });
    expect(troubles).toHaveLength(3);
  });

  it('goes on with the next ward after one that failed', async () => {
    await writeWardCopy(redis, copy, policy, period.toMs);
    const { audits: made, troubles } = audits();
    const backwards = made.of(wardId, { fromMs: period.toMs, toMs: period.fromMs });
    const good = made.of(wardId, period);
    await expect(backwards).rejects.toThrow('could not be counted');
    expect((await good).audit.lines.all.lines).toBe(60);
    expect(troubles).toHaveLength(1);
  });
});
