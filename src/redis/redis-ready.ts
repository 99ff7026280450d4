import { Cluster, type Redis } from 'ioredis';
import type { Readiness, ReadinessCheck } from '../observe/health-routes.ts';
import type { Copies } from './copies.ts';
import { mastersOf } from './masters.ts';
import type { RecordClient } from './script.ts';

const slots = 16_384;
/** How long the key that a check writes is kept, ms. */
const triedForMs = 60_000;
/** Replicas that do not confirm for this long are an outage, ms; a fail-over takes seconds. */
const copiesPatienceMs = 30_000;

/** Whether Redis takes writes, all of it: one that only answers, or a cluster with slots uncovered, keeps no record. */
export async function redisReady(client: RecordClient): Promise<Readiness> {
  try {
    await client.set('{ready}:tried', '1', 'PX', triedForMs);
  } catch (cause) {
    const refusal = cause instanceof Error ? /^[A-Z]+\b/.exec(cause.message)?.[0] : undefined;
    return {
      ok: false,
      why: refusal ? `Redis answers but takes no writes (${refusal})` : 'Redis does not answer',
    };
  }
  if (!(client instanceof Cluster)) return { ok: true };
  const covered = await Promise.all(mastersOf(client).map(slotsCovered));
  // The fewest any master knows of: one cut off from the others counts fewer.
  const fewest = Math.min(...covered);
  return fewest === slots
    ? { ok: true }
    : { ok: false, why: `only ${fewest} of the Redis cluster's ${slots} slots are served` };
}

async function slotsCovered(master: Redis): Promise<number> {
  const info = String(await master.cluster('INFO'));
  const found = /^cluster_slots_ok:(\d+)/m.exec(info)?.[1];
  return /^cluster_state:ok/m.test(info) ? Number(found ?? 0) : Math.min(Number(found ?? 0), slots - 1);
}

/** Whether what is written lies on replicas too. */
export function copiesReady(copies: Copies, realNow: () => number = Date.now): ReadinessCheck {
  return async () => {
    const since = await copies.stillMissingSince();
    if (since === null || realNow() - since < copiesPatienceMs) return { ok: true };
    return { ok: false, why: 'what is recorded lies on one Redis server only: no replica confirms it' };
  };
}
