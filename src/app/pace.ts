/**
 * What gives way to what, where a process has more to do than one moment holds: a reminder that is made is sent before the next ward is
 * looked at, or of a thousand that fall due together the first would come as late as the last; reminders before the checks of a sweep,
 * which find nothing as a rule, all of them before handovers, and their words before their pictures and pages.
 */
const ranks = ['sending', 'reminder', 'check', 'handover', 'file'] as const;
/** What a part of the work is for; `ranks` has the first to go first. */
export type Rank = (typeof ranks)[number];

/**
 * How long a part of each rank gives way to what people wait for, in lengths of the part before it. Not longer: on a busy machine
 * somebody always waits, and reminders must still have half of the thread, handovers a quarter.
 */
const givesWay: Record<Rank, number> = { sending: 1, reminder: 1, check: 3, handover: 3, file: 3 };
/** And never longer than this, ms of real time: a part that was long was held up itself. */
const mostWayMs = 20;
/** A part that waited longer than this comes next but one, whatever its rank, ms of real time: a check never done is no check. */
const longestMs = 5_000;

/**
 * Parts of one rank that wait are let go together for this long in one turn of the event loop, ms of real time: most are short. A turn
 * in which much comes in is long, and one part in each would leave a nudge behind a hundred such turns. While somebody waits for an
 * answer it is longer, and so is the way that is given after it: several of the trips to Redis that an answer takes fit in between.
 */
const togetherMs: Record<Rank, number> = { sending: 5, reminder: 5, check: 2, handover: 2, file: 2 };
const togetherAheadMs = 4;

/** Shares one thread out, so that a shift change holds nobody up. */
export interface Pace {
  /** Work that somebody waits for: while it runs, parts of the others give way to it. */
  ahead<T>(work: () => Promise<T>): Promise<T>;
  /**
   * Resolves when the next part may be worked on, up to the next `await`. In each turn of the event loop a few parts of one rank are
   * let go, so whatever came in meanwhile is heard before the next.
   */
  turn(rank: Rank): Promise<void>;
}

/** The hands of a clock that tests can move. */
export interface Turns {
  nowMs(): number;
  nextTurn(then: () => void): void;
  /** In this turn of the loop still, once what was let go has come to its next wait. */
  soon(then: () => void): void;
  after(ms: number, then: () => void): void;
}

/** Parts that wait, by rank, first come first. */
type Waiting = Record<Rank, { sinceMs: number; go: () => void }[]>;

/** Whose turn it is: the first rank's, or every other time (`wasOutOfRank`: not this) that of a part that has waited too long. */
function nextRank(waiting: Waiting, wasOutOfRank: boolean, nowMs: number): Rank | undefined {
  const first = ranks.find((one) => waiting[one].length > 0);
  if (wasOutOfRank) return first;
  return ranks.findLast((one) => nowMs - (waiting[one][0]?.sinceMs ?? nowMs) > longestMs) ?? first;
}

/** Shares out the thread whose event loop `turns` speaks of. */
export function threadPace(turns: Turns): Pace {
  const waiting: Waiting = { sending: [], reminder: [], check: [], handover: [], file: [] };
  let aheadNow = 0;
  let lastBeganMs = 0;
  let lastEndedMs = 0;
  let isLooking = false;
  let wasOutOfRank = false;

  const look = () => {
    if (isLooking) return;
    isLooking = true;
    turns.nextTurn(letGo);
  };
  const letGo = () => {
    isLooking = false;
    const nowMs = turns.nowMs();
    const rank = nextRank(waiting, wasOutOfRank, nowMs);
    const [first] = rank ? waiting[rank] : [];
    if (!rank || !first) return;
    const wayMs = Math.min(givesWay[rank] * (lastEndedMs - lastBeganMs), mostWayMs);
    const waitedMs = nowMs - Math.max(first.sinceMs, lastEndedMs);
    if (aheadNow > 0 && waitedMs < wayMs) return turns.after(wayMs - waitedMs, look);
    wasOutOfRank = ranks.some((one) => ranks.indexOf(one) < ranks.indexOf(rank) && waiting[one].length > 0);
    lastBeganMs = nowMs;
    isLooking = true;
    oneOf(rank);
  };
  const oneOf = (rank: Rank) => {
    waiting[rank].shift()?.go();
    turns.soon(() => {
      lastEndedMs = turns.nowMs();
      const mostMs = aheadNow > 0 ? togetherAheadMs : togetherMs[rank];
      if (waiting[rank].length > 0 && lastEndedMs - lastBeganMs < mostMs) return oneOf(rank);
      isLooking = false;
      look();
    });
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
  return eachCall(thing, (call) => pace.ahead(async () => call()));
}

/**
 * The same object, each of its answers kept until it is the turn of that rank: what follows from an answer is a part like any other,
 * and many answers come in one turn of the event loop.
 */
export function behindOf<T extends object>(pace: Pace, rank: Rank, thing: T): T {
  return eachCall(thing, async (call) => {
    const answer = await call();
    await pace.turn(rank);
    return answer;
  });
}

function eachCall<T extends object>(thing: T, around: (call: () => unknown) => Promise<unknown>): T {
  const calls = Object.entries(thing).map(([name, value]: [string, unknown]) =>
    typeof value === 'function'
      ? [name, (...args: unknown[]) => around(() => Reflect.apply(value, thing, args) as unknown)]
      : [name, value],
  );
  return Object.fromEntries(calls) as T;
}
