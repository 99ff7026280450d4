import { within } from '../app/clock.ts';
import type { Beat } from '../app/notice-downtime.ts';
import { jobsSilentMs, type SignOfLife, silenceMs } from '../app/signs-of-life.ts';
import type { ReadinessCheck } from '../observe/health-routes.ts';
import type { BoltEdge } from '../slack/edge/bolt-app.ts';
import { remindersOffWords } from '../wording/notices/reminders-off.ts';

/** How long an answer waits to know whether reminders run, ms. */
const patienceMs = 300;

/** What the chat knows of the jobs: whether they live. */
export interface JobsWatch {
  /** What everybody who is answered must read first; null while reminders run, and where nobody can tell. */
  warning: () => Promise<string | null>;
  check: ReadinessCheck;
}

/** Looks at the jobs' sign of life whenever it is asked: nothing is remembered that could be old. */
export function jobsWatch(heartbeat: Pick<SignOfLife, 'last'>, realNow: () => number): JobsWatch {
  const sinceMs = realNow();
  const silentMs = () => jobsSilentMs(heartbeat, { nowMs: realNow(), sinceMs });
  return {
    async warning() {
      // Where Redis is away the answer says so itself.
      const silent = await within(patienceMs, silentMs()).catch(() => null);
      return silent === null ? null : remindersOffWords(silent);
    },
    async check() {
      const silent = await silentMs();
      if (silent === null) return { ok: true };
      return {
        ok: false,
        why: `the jobs have given no sign of life for ${Math.round(silent / 1000)} s: reminders are not running`,
      };
    },
  };
}

/** How often the chat leaves its sign of life, ms. */
const beatEveryMs = 10_000;

/** The sign of life of a chat that takes commands. */
export interface ChatPulse {
  /** Leaves it now, where commands can come in at all. */
  beat(): Promise<void>;
  stop(): void;
}

/** Leaves the chat's sign of life while `takesCommands`: one whose connection is lost is as silent as a dead one. */
export function chatPulse(
  sign: Pick<SignOfLife, 'beat'>,
  { takesCommands, now }: { takesCommands: () => boolean; now: () => Beat },
): ChatPulse {
  const beat = async () => {
    // Where Redis is away, the next one tells.
    if (takesCommands()) await sign.beat(now()).catch(() => undefined);
  };
  const timer = setInterval(() => void beat(), beatEveryMs).unref();
  void beat();
  return { beat, stop: () => clearInterval(timer) };
}

/** The platform's own reconnections take seconds; one that takes longer is an outage. */
const reconnectPatienceMs = 30_000;

export function reachable(edge: BoltEdge): ReadinessCheck {
  return async () => {
    const since = edge.unreachableSince();
    if (since === null || Date.now() - since < reconnectPatienceMs) return { ok: true };
    return { ok: false, why: 'the connection on which the chat platform sends commands is lost' };
  };
}

/** For a process that takes no commands itself: whether some other one does. */
export function chatLives(sign: Pick<SignOfLife, 'last'>, realNow: () => number): ReadinessCheck {
  return async () => {
    const beat = await sign.last();
    const silent = beat === null ? 0 : realNow() - beat.realMs;
    if (silent <= silenceMs) return { ok: true };
    return {
      ok: false,
      why: `no process has taken commands for ${Math.round(silent / 1000)} s: buttons and commands do not work`,
    };
  };
}
