import type { ReadinessCheck } from './health-routes.ts';

/** A wake-up that is set again and again only to prove that wake-ups still arrive. */
export interface Canary {
  /** To be called when the canary's wake-up, set for `dueMs`, ran at `ranAtMs`. */
  ran(dueMs: number, ranAtMs: number): void;
  /** Fails when the last one is longer ago than allowed, or came too late. */
  check: ReadinessCheck;
}

/**
 * Redis can answer while no wake-up arrives any more (BullMQ issue 4585), so readiness asks whether the last canary came
 * on time. All instants are real time, in ms.
 * @param everyMs how often it is set
 * @param graceMs how late it may be
 */
export function wakeUpCanary({
  everyMs,
  graceMs,
  now,
}: {
  everyMs: number;
  graceMs: number;
  now: () => number;
}): Canary {
  const startedAtMs = now();
  let lastRanAtMs: number | null = null;
  let lastLateMs = 0;
  return {
    ran(dueMs, ranAtMs) {
      lastRanAtMs = ranAtMs;
      lastLateMs = ranAtMs - dueMs;
    },
    check() {
      const silentMs = now() - (lastRanAtMs ?? startedAtMs);
      if (silentMs > everyMs + graceMs) {
        return { ok: false, why: `no wake-up arrived for ${Math.round(silentMs / 1000)} s` };
      }
      if (lastLateMs > graceMs) {
        return { ok: false, why: `the last wake-up was ${Math.round(lastLateMs / 1000)} s late` };
      }
      return { ok: true };
    },
  };
}
