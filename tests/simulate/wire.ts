import type { Chance } from '../../src/invented/chance.ts';
import type { Trace } from './trace.ts';
import type { VirtualTime } from './virtual-time.ts';

/** One life of a process, from its start to its death. What it waits for when it dies never comes. */
export interface Life {
  name: string;
  alive: boolean;
  /** Ends this life now. */
  die(why: string): void;
}

/** What becomes of one call. */
export type Fate =
  | { is: 'done' }
  /** Nothing is done; the caller hears of a failure. */
  | { is: 'lost'; error: Error }
  /** It is done; the caller hears of a failure all the same. */
  | { is: 'unheard'; error: Error }
  /** The caller hears of a failure, and then it is done. */
  | { is: 'done late'; error: Error; lateMs: number }
  | { is: 'dies before' }
  | { is: 'dies after' };

export interface Wire {
  time: VirtualTime;
  trace: Trace;
  chance: Chance;
}

/** How long one way takes, ms. */
const wayMs = { store: [0.2, 3], platform: [40, 400], alarm: [0.2, 3] } as const;
export type To = keyof typeof wayMs;

/**
 * Carries a call over to a server and its answer back. Both take a while that chance draws, in which others act: so every
 * await of the program is a place where anything may come between, where an answer may be lost, and where the process may die.
 */
export function overWire<T>(
  { time, trace, chance }: Wire,
  life: Life,
  to: To,
  what: string,
  fate: Fate,
  doing: () => Promise<T>,
): Promise<T> {
  const [quick, slow] = wayMs[to];
  const way = () => chance.between(quick, slow);
  return new Promise<T>((resolve, reject) => {
    if (!life.alive) return;
    const done = () => {
      trace.add(time.now, life.name, `${what}${fate.is === 'done' ? '' : ` — ${fate.is}`}`);
      const answer = doing();
      answer.catch(() => undefined);
      return answer;
    };
    const answers = (answer: Promise<T> | Error) =>
      time.after(way(), () => {
        if (!life.alive) return;
        if (answer instanceof Error) reject(answer);
        else answer.then(resolve, reject);
      });
    time.after(way(), () => {
      // It was on its way when its sender died: it may have got through.
      if (!life.alive && chance.happens(0.5)) return;
      switch (fate.is) {
        case 'done':
          return answers(done());
        case 'lost':
          trace.add(time.now, life.name, `${what} — lost: ${fate.error.message}`);
          return answers(fate.error);
        case 'unheard':
          void done();
          return answers(fate.error);
        case 'done late':
          answers(fate.error);
          return time.after(fate.lateMs, () => void done());
        case 'dies before':
          return life.die(`before ${what}`);
        case 'dies after':
          void done();
          return life.die(`after ${what}`);
      }
    });
  });
}
