/** The only source of "now". Milliseconds since the epoch, in ward time. */
export interface Clock {
  now(): number;
}

/** How many milliseconds of ward time pass in one real millisecond, and how to change it. Practice and tests only. */
export interface HurriedClock extends Clock {
  /** Ward milliseconds per real millisecond; 1 on a real ward. */
  rate(): number;
  setRate(rate: number): void;
  /** Moves ward time forward to `atMs`; an instant already past leaves it where it is. */
  jumpTo(atMs: number): void;
  /** Called after every jump and every change of rate; returns how to stop listening. */
  onChange(listener: () => void): () => void;
}

/** What `work` comes to within `ms` of real time; null where it takes longer, and then a failure of it is nobody's. */
export async function within<T>(ms: number, work: Promise<T>): Promise<T | null> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<null>((resolve) => {
    timer = setTimeout(() => resolve(null), ms).unref();
  });
  try {
    return await Promise.race([work, late]);
  } finally {
    clearTimeout(timer);
  }
}

/** The machine's own clock. */
export const machineClock: Clock = { now: () => Date.now() };

/**
 * A clock that starts at `startMs` and runs `rate` times as fast as `real`.
 * It never runs backwards: a jump to the past is ignored.
 */
export function hurriedClock(
  startMs: number,
  rate: number,
  real: () => number = () => Date.now(),
): HurriedClock {
  let wardBaseMs = startMs;
  let realBaseMs = real();
  let currentRate = rate;
  const listeners = new Set<() => void>();
  const now = () => Math.floor(wardBaseMs + (real() - realBaseMs) * currentRate);
  const rebase = (wardMs: number) => {
    wardBaseMs = wardMs;
    realBaseMs = real();
  };
  const notify = () => {
    for (const listener of listeners) listener();
  };
  return {
    now,
    rate: () => currentRate,
    setRate(nextRate) {
      rebase(now());
      currentRate = nextRate;
      notify();
    },
    jumpTo(atMs) {
      if (atMs <= now()) return;
      rebase(atMs);
      notify();
    },
    onChange(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
  };
}
