import { owedLines } from '../domain/duties/duties-of-line.ts';
import { planWake } from '../domain/ladder/plan-wake.ts';
import type { JobDeps } from './app-deps.ts';
import { asking, roomInWords } from './asking-posts.ts';
import { forEachOf } from './few-at-once.ts';
import type { Post } from './ports.ts';
import { recordOnWard } from './record-on-ward.ts';
import { silenceMs } from './signs-of-life.ts';

/** When the jobs were last alive, in real and ward time (ms). */
export interface Beat {
  realMs: number;
  wardMs: number;
}

/** A ward and an outage it was not told of: from, to (ward ms); and since when, real ms. */
export interface WardToNotify {
  wardId: string;
  from: number;
  to: number;
  sinceMs: number;
}

/** Remembers the jobs' last sign of life beyond their own death. */
export interface Heartbeat {
  /** The last sign of life; null when there was none. */
  last(): Promise<Beat | null>;
  /** Leaves a sign of life. `unnotified`: the wards still to be told of an outage; as they were where it is absent. */
  beat(now: Beat, unnotified?: readonly WardToNotify[]): Promise<void>;
  /** Wards that could not be told of an outage yet. */
  unnotified(): Promise<WardToNotify[]>;
}

/** A ward that cannot be told of an outage this long after it began is not told any more, ms of real time. */
const giveUpMs = 24 * 3_600_000;

/**
 * Leaves a sign of life; after an outage tells every ward with lines, from when to when nobody was reminded and what
 * came due meanwhile. What is still owed is nudged right after, by the sweep.
 */
export async function noticeDowntime(deps: JobDeps, heartbeat: Heartbeat): Promise<void> {
  const { record, watch } = deps;
  const now = nowOf(deps);
  const before = await heartbeat.last();
  const waiting = await heartbeat.unnotified();
  const isOutage = before !== null && now.realMs - before.realMs > silenceMs;
  if (!isOutage && waiting.length === 0) return heartbeat.beat(now, []);
  if (isOutage) {
    watch.trouble('the jobs were silent and nobody was reminded', { tookMs: now.realMs - before.realMs });
    for (const wardId of await record.wardIds())
      waiting.push({ wardId, from: before.wardMs, to: now.wardMs, sinceMs: now.realMs });
  }
  // Who is to be told is remembered before anybody is: a stop in between loses no ward. Told twice it stands once.
  await heartbeat.beat(now, waiting);
  const unnotified: WardToNotify[] = [];
  await forEachOf(waiting, notifiedAtOnce, async (one) => {
    try {
      await notifyDown(deps, one);
    } catch (cause) {
      if (now.realMs - one.sinceMs < giveUpMs) unnotified.push(one);
      const { wardId } = one;
      watch.trouble(
        'a ward could not be told that nobody was reminded; it is tried again',
        { wardId },
        cause,
      );
    }
  });
  // As of now: ten thousand wards take longer to tell than a silence may last.
  await heartbeat.beat(nowOf(deps), unnotified);
}

/** Wards told of an outage at once. */
const notifiedAtOnce = 50;

function nowOf({ clock, realNow }: Pick<JobDeps, 'clock' | 'realNow'>): Beat {
  return { realMs: realNow(), wardMs: clock.now() };
}

/**
 * Leaves a sign of life between two sweeps, so that a long one is not taken for an outage. After a silence it leaves none: what
 * was missed is told first, by `noticeDowntime`.
 */
export async function stayAlive(
  deps: Pick<JobDeps, 'clock' | 'realNow'>,
  heartbeat: Heartbeat,
): Promise<void> {
  const now = nowOf(deps);
  const before = await heartbeat.last();
  if (before !== null && now.realMs - before.realMs <= silenceMs) await heartbeat.beat(now);
}

async function notifyDown(deps: JobDeps, { wardId, from, to }: WardToNotify): Promise<void> {
  const { record } = deps;
  const { ward, lines } = await record.readWard(wardId);
  // A line registered since was not forgotten in that time.
  const missed = owedLines(lines, ward.policy, to).filter(({ knownSince }) => knownSince < to);
  if (missed.length === 0) return;
  const asked = planWake(ward, missed, to)
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
      about: { what: 'was down', for: from, to },
    });
  await recordOnWard(
    deps,
    { wardId, by: 'bot', via: 'bot', once: `down|${from}` },
    { kind: 'wasDown', body: { from, to, missed: unique.length } },
    post,
  );
}
