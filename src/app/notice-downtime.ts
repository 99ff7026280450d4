import { owesNothing } from '../domain/duties/duties-of-line.ts';
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
  /** The last sign of life; null when there was none. */
  last(): Promise<Beat | null>;
  /** Leaves a sign of life. */
  beat(now: Beat): Promise<void>;
}

/** Silence longer than this was an outage: several sweeps long, ms of real time. */
export const silenceMs = 2 * 60_000;
/** A ward that cannot be told of an outage this long after it began is not told any more, ms of real time. */
const giveUpMs = 24 * 3_600_000;

/**
 * Leaves a sign of life; after an outage tells every ward with lines, from when to when nobody was reminded and what
 * came due meanwhile. What is still owed is nudged right after, by the sweep.
 */
export async function noticeDowntime(deps: JobDeps, heartbeat: Heartbeat): Promise<void> {
  const { record, clock, realNow, watch } = deps;
  const now = { realMs: realNow(), wardMs: clock.now() };
  const before = await heartbeat.last();
  if (before === null || now.realMs - before.realMs <= silenceMs) return heartbeat.beat(now);
  const from = before.wardMs;
  watch.trouble('the jobs were silent and nobody was reminded', {
    tookMs: realNow() - before.realMs,
  });
  let told = true;
  for (const wardId of await record.wardIds()) {
    try {
      await tellDown(deps, wardId, from);
    } catch (cause) {
      told = false;
      watch.trouble(
        'a ward could not be told that nobody was reminded; it is tried again',
        { wardId },
        cause,
      );
    }
  }
  // The old sign of life stays until every ward was told, or the outage is long past; told twice it stands once.
  if (told || now.realMs - before.realMs > giveUpMs) await heartbeat.beat(now);
}

async function tellDown(deps: JobDeps, wardId: string, from: number): Promise<void> {
  const { record, clock } = deps;
  const { ward, lines } = await record.readWard(wardId);
  if (lines.every((line) => owesNothing(line, ward.policy, clock.now()))) return;
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
