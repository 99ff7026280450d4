import { randomBytes } from 'node:crypto';
import type { JobDeps } from '../app/app-deps.ts';
import { deepRota } from '../app/deep-rota.ts';
import { type Heartbeat, stayAlive } from '../app/notice-downtime.ts';
import { silenceMs } from '../app/signs-of-life.ts';
import { sweepWards } from '../app/sweep-wards.ts';
import type { RecordClient } from '../redis/script.ts';
import { giveShareBack, takeShare } from '../redis/shares.ts';

/** A sweep sets wake-ups so far ahead, real ms: a few sweeps long, so that none is left to the last. */
const setAheadMs = 90_000;
/** How long a process that sweeps counts without saying so again, real ms: two sweeps and a bit. */
const shareMs = 75_000;
/** How often the jobs leave a sign of life, however long a sweep takes, real ms. */
const beatEveryMs = 10_000;

/** The sweeps of one process, and its sign of life between them. */
export interface Sweeping {
  sweep(how: { deep: boolean }): Promise<void>;
  stop(): Promise<void>;
}

/**
 * `beats`: whether this process runs the jobs and leaves their sign of life; `rate`: how many ward ms pass in a real one.
 */
export function sweeping(
  deps: JobDeps,
  {
    redis,
    heartbeat,
    beats,
    rate,
  }: { redis: RecordClient; heartbeat: Heartbeat; beats: boolean; rate: () => number },
): Sweeping {
  const { realNow } = deps;
  const own = randomBytes(8).toString('hex');
  const deep = deepRota(() => takeShare(redis, own, { nowMs: realNow(), forMs: shareMs }));
  let gotOnAt = realNow();
  const gotOn = () => {
    gotOnAt = realNow();
  };
  const beat = () => {
    // Sweeps that hang are no sign of life.
    if (realNow() - gotOnAt > silenceMs) return;
    // Where Redis is away the next one tells.
    stayAlive(deps, heartbeat).catch(() => undefined);
  };
  const timer = beats ? setInterval(beat, beatEveryMs).unref() : undefined;
  return {
    async sweep(how) {
      await sweepWards(deps, {
        deep: how.deep && deep,
        setAheadMs: setAheadMs * rate(),
        progress: gotOn,
      });
      gotOn();
    },
    async stop() {
      clearInterval(timer);
      await giveShareBack(redis, own).catch(() => undefined);
    },
  };
}
