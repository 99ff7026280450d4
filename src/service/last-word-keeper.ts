import { randomBytes } from 'node:crypto';
import type { JobDeps } from '../app/app-deps.ts';
import type { Clock, HurriedClock } from '../app/clock.ts';
import { type LastWord, pushLastWord, pushLastWords } from '../app/last-word.ts';
import type { RecordClient } from '../redis/script.ts';
import { giveTurnBack, takeTurn } from '../redis/turn.ts';

/** How often the waiting messages are pushed ahead, real ms. */
const pushEveryMs = 4 * 60_000;
/** How long one ward's message may take to leave, real ms: longer than the calls it takes may. */
const leavePatienceMs = 40_000;

/** Keeps the message that speaks when the bot is dead waiting on every ward with lines. */
export interface LastWordKeeper {
  /** Every few minutes, and at once when the ward's clock was hurried or set ahead. */
  pushDue(): Promise<void>;
  /** A ward's first line is in: its message waits from now on, not from the next push. */
  arm(wardId: string): Promise<void>;
  /** The same where this process has not seen the ward's message wait yet; else nothing. */
  armOnce(wardId: string): Promise<void>;
  /** Lets another process push at once. */
  giveUp(): Promise<void>;
}

export function lastWordKeeper(
  deps: Pick<JobDeps, 'record' | 'watch' | 'realNow'> & { clock: Clock | HurriedClock },
  lastWord: LastWord,
  redis: RecordClient,
): LastWordKeeper {
  const { clock, realNow } = deps;
  // Two processes of the jobs would each take the other's for one too many.
  const own = randomBytes(8).toString('hex');
  const rate = () => ('rate' in clock ? clock.rate() : 1);
  const armed = new Set<string>();
  let pushed = { atMs: 0, rate: 0, wardMs: 0 };

  /** One at a time on each ward, whoever does it: each leaves its own and takes the others back. */
  const alone: LastWord = {
    async leave(wardId, ...more) {
      if (await inTurn(wardId, () => lastWord.leave(wardId, ...more))) armed.add(wardId);
    },
    async takeBack(wardId) {
      armed.delete(wardId);
      await inTurn(wardId, () => lastWord.takeBack(wardId));
    },
  };
  /** False where another is at it at this very moment, and nothing need be done. */
  const inTurn = async (wardId: string, work: () => Promise<void>): Promise<boolean> => {
    const [mine, what] = [randomBytes(8).toString('hex'), `last-word-of-${wardId}`];
    if (!(await takeTurn(redis, mine, leavePatienceMs, what))) return false;
    try {
      await work();
      return true;
    } finally {
      await giveTurnBack(redis, mine, what).catch(() => undefined);
    }
  };
  const arm = async (wardId: string) => {
    // Known from now on, so that two who see the same line do not both do it.
    armed.add(wardId);
    if ((await pushLastWord(deps, alone, wardId, rate())) !== 'left') armed.delete(wardId);
  };
  return {
    arm,
    async armOnce(wardId) {
      if (!armed.has(wardId)) await arm(wardId);
    },
    async pushDue() {
      const fresh = realNow() - pushed.atMs < pushEveryMs;
      const asExpected =
        pushed.rate === rate() &&
        Math.abs(clock.now() - pushed.wardMs - (realNow() - pushed.atMs) * rate()) < 60_000;
      if (fresh && asExpected) return;
      pushed = { atMs: realNow(), rate: rate(), wardMs: clock.now() };
      if (await takeTurn(redis, own, pushEveryMs)) await pushLastWords(deps, alone, rate());
    },
    giveUp: () => giveTurnBack(redis, own),
  };
}
