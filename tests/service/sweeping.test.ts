import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { Beat } from '../../src/app/notice-downtime.ts';
import { sweeping } from '../../src/service/sweeping.ts';
import { appOnMemory } from '../support/app-on-memory.ts';
import { wall } from '../support/line-builder.ts';

// Only the clock's hand is turned by the test; what sweeping promises of time is in src/app/signs-of-life.ts: 2 min are a silence.
beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  vi.useRealTimers();
});

/** The sweeps of a process whose wards the test gives out one after another. */
function sweeper({ beats = true } = {}) {
  const app = appOnMemory(wall('02:00'));
  const left: Beat[] = [{ realMs: Date.now(), wardMs: wall('02:00') }];
  let looked: (() => void) | undefined;
  const record: typeof app.record = {
    ...app.record,
    wardIds: async () => Array.from({ length: 500 }, (_, index) => `T0TEST.C${index}`),
    nextWake: () =>
      new Promise((resolve) => {
        looked = () => resolve(null);
      }),
  };
  const sweeps = sweeping(
    { ...app.deps, record, realNow: () => Date.now() },
    {
      redis: { zrem: async () => 0 } as unknown as Parameters<typeof sweeping>[1]['redis'],
      heartbeat: {
        last: async () => left.at(-1) ?? null,
        unnotified: async () => [],
        beat: async (now) => void left.push(now),
      },
      beats,
      rate: () => 1,
    },
  );
  return {
    sweeps,
    /** How long ago the last sign of life was left, s. */
    silentS: () => Math.round((Date.now() - (left.at(-1)?.realMs ?? 0)) / 1000),
    /** One more ward was looked at. */
    goOn: () => looked?.(),
  };
}

describe('the sign of life of jobs', () => {
  it('goes on through a sweep that takes an hour and gets on', async () => {
    const { sweeps, silentS, goOn } = sweeper();
    void sweeps.sweep({ deep: false });
    for (let minutes = 0; minutes < 60; minutes++) {
      await vi.advanceTimersByTimeAsync(60_000);
      expect(silentS()).toBeLessThanOrEqual(10);
      goOn();
    }
    await sweeps.stop();
  });

  it('ends where a sweep hangs for two minutes, though the process runs', async () => {
    const { sweeps, silentS } = sweeper();
    void sweeps.sweep({ deep: false });
    await vi.advanceTimersByTimeAsync(10 * 60_000);
    expect(silentS()).toBeGreaterThanOrEqual(8 * 60 - 10);
    await sweeps.stop();
  });

  it('is none of a process that only takes commands', async () => {
    const { sweeps, silentS } = sweeper({ beats: false });
    await vi.advanceTimersByTimeAsync(60_000);
    expect(silentS()).toBe(60);
    await sweeps.stop();
  });
});
