import { planWake } from '../domain/ladder/plan-wake.ts';
import type { JobDeps } from './app-deps.ts';
import { asking, roomInWords } from './asking-posts.ts';
import type { Post } from './ports.ts';
import { tellWard } from './tell-ward.ts';

/** When the jobs were last alive, in real and ward time (ms). */
export interface Beat {
  realMs: number;
  wardMs: number;
}

/** Remembers the jobs' last sign of life beyond their own death. */
export interface Heartbeat {
  /** Leaves a sign of life and gives the one before it; null when there was none. */
  beat(now: Beat): Promise<Beat | null>;
}

/** Silence longer than this was an outage: several sweeps long, ms of real time. */
export const silenceMs = 2 * 60_000;

/**
 * Leaves a sign of life; after an outage tells every ward with lines, from when to when nobody was reminded and what
 * came due meanwhile. What is still owed is nudged right after, by the sweep.
 */
export async function noticeDowntime(deps: JobDeps, heartbeat: Heartbeat): Promise<void> {
  const { record, clock, realNow, watch } = deps;
  const before = await heartbeat.beat({ realMs: realNow(), wardMs: clock.now() });
  if (before === null || realNow() - before.realMs <= silenceMs) return;
  const from = before.wardMs;
  watch.trouble('the jobs were silent and nobody was reminded', {
    tookMs: realNow() - before.realMs,
  });
  for (const wardId of await record.wardIds()) {
    const { ward, lines } = await record.readWard(wardId);
    if (lines.length === 0) continue;
    const to = clock.now();
    const asked = planWake(ward, lines, to)
      .posts.flatMap((post) => ('duties' in post ? post.duties : []))
      .filter(({ dueAt }) => dueAt > from && dueAt <= to)
      .map(({ lineId, kind, dueAt }) => ({ lineId, kind, dueAt }));
    const unique = [...new Map(asked.map((one) => [`${one.lineId}|${one.kind}`, one])).values()];
    const post = (_view: unknown, now: number): Post[] =>
      asking(unique, roomInWords, {
        key: `2.down.${to.toString(36)}`,
        kind: 'notice',
        to: 'ward',
        at: now,
        about: { what: 'was down', for: from },
      });
    await tellWard(
      deps,
      { wardId, by: 'bot', via: 'bot', once: `down|${from}` },
      { kind: 'wasDown', body: { from, to, missed: unique.length } },
      post,
    );
  }
}
