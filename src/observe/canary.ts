import type { ReadinessCheck } from './health-routes.ts';

/** When a wake-up that is set only to see it arrive was due and ran, real ms. */
export interface CanaryRun {
  dueMs: number;
  ranAtMs: number;
}

/**
 * Redis can answer while no wake-up arrives any more (BullMQ issue 4585), so readiness asks whether the last canary came
 * on time: of each part of the queue, in whichever process it ran, since the processes take each other's. Fails where one is
 * longer ago than allowed, or came too late. All instants are real time, in ms.
 * @param everyMs how often one is set
 * @param graceMs how late it may be
 * @param last the last of each part of the queue; null where none ever ran
 */
export function wakeUpCanary({
  everyMs,
  graceMs,
  now,
  last,
}: {
  everyMs: number;
  graceMs: number;
  now: () => number;
  last: () => Promise<readonly (CanaryRun | null)[]>;
}): ReadinessCheck {
  const startedAtMs = now();
  return async () => {
    const runs = await last().catch(() => null);
    if (runs === null) return { ok: false, why: 'Redis does not say when the last wake-up arrived' };
    const earliest = Math.min(...runs.map((run) => run?.ranAtMs ?? 0));
    const silentMs = now() - Math.max(startedAtMs, earliest);
    if (silentMs > everyMs + graceMs) {
      return { ok: false, why: `no wake-up arrived for ${Math.round(silentMs / 1000)} s` };
    }
    const lateMs = Math.max(...runs.map((run) => (run ? run.ranAtMs - run.dueMs : 0)));
    if (lateMs > graceMs) {
      return { ok: false, why: `the last wake-up was ${Math.round(lateMs / 1000)} s late` };
    }
    return { ok: true };
  };
}
