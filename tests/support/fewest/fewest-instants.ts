/** One thing to do over and over: where it stands, what doing it then leads to. All times are whole minutes. */
export interface Standing {
  /** Names this standing among those of its task: two with one name have one future. */
  readonly name: string;
  /** The last minute by which something of it must be done; infinite when nothing is owed any more. */
  readonly latest: number;
  /** What a visit at minute `at` can make of it, besides leaving it as it is; empty where nothing can count yet. */
  readonly after: (at: number) => readonly Move[];
  /** The same with less asked: each duty of it by itself, free to be done again at any time once it was done. */
  readonly loosely: readonly LooseWindow[];
}

/** Doing something of a task at one visit; `late`: what its lateness weighs. */
export interface Move {
  to: Standing;
  late: number;
  /** What is done, by name. */
  does: readonly string[];
}

/** A window asked for less; done later, the next ends no sooner. */
export interface LooseWindow {
  opens: number;
  latest: number;
  /** What comes once it was done at `at`: best the same object each time, so that tasks that run alike are looked at once. */
  next: (at: number) => LooseWindow | null;
}

/** Visits, as minutes in order; `proved`: that fewer cannot do was shown, not only not found. */
export interface FewestInstants {
  instants: number[];
  proved: boolean;
}

/** The standings a task may have by now, whatever was done of it at the visits so far. */
type May = readonly Standing[];

/**
 * The fewest instants from `first` on at which every task can be kept within its windows.
 *
 * A visit more never hurts, since nothing need be done at it. So only *when* to walk is searched, and of each task the
 * set of all standings it may have is carried along: which open things to take along is never guessed.
 * Above: the visits found by walking as late as possible, all choices kept open. Below: the same ward asked for less,
 * where a thing done may be done again at any time; there walking as late as possible and doing all that is open, but for
 * what would be due sooner done than left, is the fewest, because whoever walks sooner can do nothing that is not still
 * open later, and all done later is due later.
 * Where both meet the fewest is proved. Where they do not, every sequence of minutes with fewer visits is searched,
 * cut by the same bound; `effort` (tasks looked at, shared out over the numbers of visits tried) ends the search, and the answer then says
 * that it is not proved.
 */
export function fewestInstants(tasks: readonly Standing[], first: number, effort: number): FewestInstants {
  const start = distinct(tasks.map((task) => [task]));
  const asLateAsPossible = walkLate(start);
  const atLeast = looseCount(start, asLateAsPossible.length);
  let proved = true;
  for (let count = atLeast; count < asLateAsPossible.length; count++) {
    let left = Math.ceil(effort / (asLateAsPossible.length - atLeast));
    const failed = new Set<string>();
    const search = (may: readonly May[], from: number, visits: number): number[] | null => {
      const deadline = deadlineOf(may);
      if (deadline === Number.POSITIVE_INFINITY) return [];
      if (visits === 0 || looseCount(may, visits) > visits) return null;
      const name = `${visits} ${from} ${may.map(nameOf).join(';')}`;
      if (failed.has(name)) return null;
      for (const at of coarseFirst(from, deadline)) {
        if (left <= 0) break;
        left -= may.length;
        const next = visit(may, at);
        if (next === null) continue;
        const rest = search(next, at + 1, visits - 1);
        if (rest) return [at, ...rest];
      }
      if (left > 0) failed.add(name);
      return null;
    };
    const found = search(start, first, count);
    if (found) return { instants: found, proved };
    if (left <= 0) proved = false;
  }
  return { instants: asLateAsPossible, proved };
}

/** What doing the tasks at these instants weighs at the least, and what is done when; null where a task cannot be kept. */
export function bestMoves(
  task: Standing,
  instants: readonly number[],
): { late: number; done: { at: number; does: readonly string[] }[] } | null {
  interface Way {
    standing: Standing;
    late: number;
    moves: number;
    last: Step | null;
  }
  interface Step {
    at: number;
    does: readonly string[];
    before: Step | null;
  }
  let ways: Way[] = [{ standing: task, late: 0, moves: 0, last: null }];
  for (const at of instants) {
    const best = new Map<string, Way>();
    const offer = (way: Way) => {
      const other = best.get(way.standing.name);
      // Of two alike the one with less to do, done sooner.
      if (!other || way.late < other.late || (way.late === other.late && way.moves < other.moves))
        best.set(way.standing.name, way);
    };
    for (const way of ways) {
      if (way.standing.latest < at) continue;
      if (way.standing.latest > at) offer(way);
      for (const { to, late, does } of way.standing.after(at))
        offer({
          standing: to,
          late: way.late + late,
          moves: way.moves + does.length,
          last: { at, does, before: way.last },
        });
    }
    ways = [...best.values()];
  }
  const kept = ways.filter(({ standing }) => standing.latest === Number.POSITIVE_INFINITY);
  const [best] = kept.sort((a, b) => a.late - b.late || a.moves - b.moves);
  if (!best) return null;
  const done: { at: number; does: readonly string[] }[] = [];
  for (let step = best.last; step; step = step.before) done.unshift({ at: step.at, does: step.does });
  return { late: best.late, done };
}

/** Minutes from the last to the first, at long steps before the ones between: a plan with fewer visits is found sooner. */
function* coarseFirst(first: number, last: number): Generator<number> {
  for (const [step, of] of [
    [32, Number.POSITIVE_INFINITY],
    [8, 32],
    [1, 8],
  ] as const)
    for (let at = last; at >= first; at -= step) if (of > 32 || (last - at) % of !== 0) yield at;
}

/** Every visit as late as the most urgent task allows, every choice of what to do at it kept open. */
function walkLate(start: readonly May[]): number[] {
  const instants: number[] = [];
  let may = start;
  for (let at = deadlineOf(may); at < Number.POSITIVE_INFINITY; at = deadlineOf(may)) {
    const next = visit(may, at);
    if (next === null)
      throw new Error(`no visit at minute ${at} keeps every window: one ends before it opens`);
    instants.push(at);
    may = next;
  }
  return instants;
}

/** The minute by which there must be a visit. */
function deadlineOf(may: readonly May[]): number {
  return Math.min(
    Number.POSITIVE_INFINITY,
    ...may.map((standings) => Math.max(...standings.map(({ latest }) => latest))),
  );
}

/** What each task may be after a visit; null where one cannot be kept, or the visit is of no use. */
function visit(may: readonly May[], at: number): readonly May[] | null {
  let isOfUse = false;
  const after: May[] = [];
  for (const standings of may) {
    const next = new Map<string, Standing>();
    for (const standing of standings) {
      if (standing.latest < at) continue;
      if (standing.latest > at) next.set(standing.name, standing);
      for (const { to } of standing.after(at)) {
        next.set(to.name, to);
        isOfUse = true;
      }
    }
    if (next.size === 0) return null;
    after.push([...next.values()]);
  }
  return isOfUse ? distinct(after) : null;
}

/** Tasks that stand alike need one look; one that may owe nothing any more needs none. */
function distinct(may: readonly May[]): May[] {
  const byName = new Map<string, May>();
  for (const standings of may)
    if (!standings.some(({ latest }) => latest === Number.POSITIVE_INFINITY))
      byName.set(nameOf(standings), standings);
  return [...byName.entries()].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, standings]) => standings);
}

function nameOf(may: May): string {
  return may
    .map(({ name }) => name)
    .sort()
    .join(',');
}

/** How many visits there are at the least, from the same tasks asked for less; counted no further than `most` + 1. */
function looseCount(may: readonly May[], most: number): number {
  let windows = may.flatMap(loosest);
  let count = 0;
  while (windows.length > 0 && count <= most) {
    let at = Number.POSITIVE_INFINITY;
    for (const { latest } of windows) at = Math.min(at, latest);
    count += 1;
    const left = new Set<LooseWindow>();
    for (const window of windows) {
      const done = window.opens <= at ? window.next(at) : window;
      // Done now it may end sooner than left alone: whichever ends later asks for less.
      const next = done && done.latest < window.latest ? window : done;
      if (next) left.add(next);
    }
    windows = [...left];
  }
  return count;
}

/** Of all that each part of a task may stand at the widest: open from the earliest, and until the latest. */
function loosest(may: May): LooseWindow[] {
  const [first, ...others] = may;
  if (!first) return [];
  return first.loosely
    .map((window, part) => {
      let { opens, latest } = window;
      for (const { loosely } of others) {
        opens = Math.min(opens, loosely[part]?.opens ?? opens);
        latest = Math.max(latest, loosely[part]?.latest ?? latest);
      }
      return { opens, latest, next: window.next };
    })
    .filter(({ latest }) => latest < Number.POSITIVE_INFINITY);
}
