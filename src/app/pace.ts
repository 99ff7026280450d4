/** What gives way to what, where a process has more to do than one moment holds: reminders before handovers. */
const ranks = ['reminder', 'handover'] as const;
export type Rank = (typeof ranks)[number];

/**
 * How long a part of each rank gives way to what people wait for, in lengths of the part before it. Not longer: on a busy machine
 * somebody always waits, and reminders must still have half of the thread, handovers a quarter.
 */
const givesWay: Record<Rank, number> = { reminder: 1, handover: 3 };
/** And never longer than this, ms of real time: a part that was long was held up itself. */
const mostWayMs = 20;

/** Shares one thread out, so that a shift change holds nobody up. */
export interface Pace {
  /** Work that somebody waits for: while it runs, parts of the others give way to it. */
  ahead<T>(work: () => Promise<T>): Promise<T>;
  /**
   * Resolves when the next part may be worked on, up to the next `await`. One part is let go in each turn of the event loop,
   * so whatever came in meanwhile is heard before the next.
   */
  turn(rank: Rank): Promise<void>;
}

/** The hands of a clock that tests can move. */
export interface Turns {
  nowMs(): number;
  nextTurn(then: () => void): void;
  after(ms: number, then: () => void): void;
}

export function threadPace(turns: Turns): Pace {
  const waiting: Record<Rank, { sinceMs: number; go: () => void }[]> = { reminder: [], handover: [] };
  let aheadNow = 0;
  let lastBeganMs = 0;
  let lastEndedMs = 0;
  let isLooking = false;

  const look = () => {
    if (isLooking) return;
    isLooking = true;
    turns.nextTurn(letGo);
  };
  const letGo = () => {
    isLooking = false;
    const nowMs = turns.nowMs();
    if (lastEndedMs < lastBeganMs) lastEndedMs = nowMs;
    const rank = ranks.find((one) => waiting[one].length > 0);
    const [first] = rank ? waiting[rank] : [];
    if (!rank || !first) return;
    const wayMs = Math.min(givesWay[rank] * (lastEndedMs - lastBeganMs), mostWayMs);
    const waitedMs = nowMs - Math.max(first.sinceMs, lastEndedMs);
    if (aheadNow > 0 && waitedMs < wayMs) return turns.after(wayMs - waitedMs, look);
    waiting[rank].shift();
    lastBeganMs = nowMs;
    lastEndedMs = Number.NEGATIVE_INFINITY;
    first.go();
    look();
  };

  return {
    async ahead(work) {
      aheadNow++;
      try {
        return await work();
      } finally {
        aheadNow--;
        if (aheadNow === 0) look();
      }
    },
    turn: (rank) =>
      new Promise((go) => {
        waiting[rank].push({ sinceMs: turns.nowMs(), go });
        look();
      }),
  };
}

/** The same object, each of its calls counted as work that somebody waits for. */
export function aheadOf<T extends object>(pace: Pace, thing: T): T {
  const counted = Object.entries(thing).map(([name, value]: [string, unknown]) =>
    typeof value === 'function'
      ? [name, (...args: unknown[]) => pace.ahead(async () => Reflect.apply(value, thing, args))]
      : [name, value],
  );
  return Object.fromEntries(counted) as T;
}
