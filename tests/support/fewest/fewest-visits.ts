import { linesOnWard } from '../../../src/domain/away/away.ts';
import { dutiesOfLine } from '../../../src/domain/duties/duties-of-line.ts';
import { type Duty } from '../../../src/domain/duties/duty.ts';
import { type DutyKind, isClinicians } from '../../../src/domain/duty-kind.ts';
import { siteCheckHours, stillNeededHours } from '../../../src/domain/policy/care-intervals.ts';
import { graceOf, type WardPolicy } from '../../../src/domain/policy/ward-policy.ts';
import type { LineState } from '../../../src/domain/record/line-state.ts';
import { imagined, type Round, repeats } from '../../../src/domain/rounds/rounds.ts';
import { minuteMs } from '../../../src/domain/time.ts';
import { bestMoves, fewestInstants, type LooseWindow, type Move, type Standing } from './fewest-instants.ts';
import { roundsBetween } from './rounds-between.ts';

/** The visits of a shift, in order; `proved`: that fewer would leave a duty outside its window. */
export interface VisitPlan {
  visits: Round[];
  proved: boolean;
}

/** What may be looked at to find or exclude plans with a visit less, and to spread lateness: about 0.1 s at the most. */
const searchEffort = 40_000;
const spreadEffort = 300_000;

/** From when a duty counts and by when it is done before anybody is told that it is late; whole minutes since the epoch. */
interface Window {
  opens: number;
  latest: number;
  due: number;
}

/**
 * The fewest visits from `fromMs` to `toMs` (exclusive, ms since the epoch) that do every duty due in that time within its window: not
 * before it counts, and before its nurse would be told that it is late (a dwell limit and the look after a hold: by when
 * they are due). What is late already is done at once. Visits are at whole minutes.
 *
 * Doing a duty moves its next window: a flush at the end of its hour's grace makes the next due later, one taken along
 * early makes it due sooner. Windows after the first are the record's own fold of the usual telling, and the plan is told
 * to the fold line by line, so what it lists is what the nudges will ask for when it is walked.
 * Of plans with as few visits one with little lateness is taken: each minute late weighs more the later it is, so that
 * none bears it all. How few is proved (see `fewestInstants`); how little lateness is not.
 * A patient that is off the ward with somebody named is visited by nobody of the ward.
 */
export function fewestVisits(
  all: readonly LineState[],
  policy: WardPolicy,
  fromMs: number,
  toMs: number,
): VisitPlan {
  const lines = linesOnWard(all);
  const span: Span = {
    policy,
    fromMs,
    toMs,
    first: Math.ceil(fromMs / minuteMs),
    last: Math.ceil(toMs / minuteMs) - 1,
  };
  if (span.last < span.first) return { visits: [], proved: true };
  const tasks = tasksOf(lines, span);
  const { instants, proved } = fewestInstants(
    tasks.map(({ begin }) => begin),
    span.first,
    searchEffort,
  );
  const told = recordedForTheFold(lines, tasks, spreadLateness(tasks, instants, span), span);
  // Told to the record a visit may turn out to have nothing left: then it is none, and the count was not the fewest.
  const visits = told.filter(({ duties }) => duties.length > 0);
  return { visits, proved: proved && visits.length === told.length };
}

/** The visits it takes when each duty is done at the very minute it is due: what a plan is measured against. */
export function visitsAtDueTimes(
  lines: readonly LineState[],
  policy: WardPolicy,
  fromMs: number,
  toMs: number,
): Round[] {
  return roundsBetween(lines, { ...policy, roundMin: 0 }, fromMs, toMs);
}

/** The time that is planned, in ms and as its first and last whole minute. */
interface Span {
  policy: WardPolicy;
  fromMs: number;
  toMs: number;
  first: number;
  last: number;
}

/** What of one line is kept by itself: a duty, or redress and site check, since a redress is a check. */
interface Task {
  lineId: string;
  begin: Standing;
}

function isOwed({ kind, dueAt }: Duty, { toMs }: Span): boolean {
  return dueAt < toMs && !isClinicians(kind);
}

/** A cat's dwell warning is for the clinician to decide on: the next visit carries it, and none is made for it. */
function isNews({ kind }: Duty): boolean {
  return kind === 'dwellWarning';
}

function dueIsPast({ dueAt, expiresAt = Number.POSITIVE_INFINITY }: Duty, at: number): boolean {
  return dueAt <= at * minuteMs && at * minuteMs < expiresAt;
}

/**
 * The window of a duty within the time planned. It ends a minute before the nurse's grace does: at its end the nurse is
 * told. The look after a hold comes when the hold is over, not sooner.
 */
export function windowOf(
  { kind, dueAt, earliestAt }: Duty,
  { policy, first, last }: Pick<Span, 'policy' | 'first' | 'last'>,
): Window {
  const due = Math.ceil(dueAt / minuteMs);
  const isExact = kind === 'dwellLimit' || kind === 'hold';
  const by = isExact
    ? Math.floor(dueAt / minuteMs)
    : Math.ceil(dueAt / minuteMs + graceOf(policy, kind).nurse) - 1;
  const latest = Math.max(first, Math.min(by, last));
  const opens = kind === 'hold' ? latest : Math.min(Math.ceil(earliestAt / minuteMs), latest);
  return { opens, latest, due: Math.max(due, first) };
}

const over: Standing = { name: 'over', latest: Number.POSITIVE_INFINITY, after: () => [], loosely: [] };
const never: LooseWindow = { opens: 0, latest: Number.POSITIVE_INFINITY, next: () => null };

/** What a duty's next window is once it was done at a minute; null where it is not owed again in the time planned. */
type NextWindow = (at: number) => Window | null;

function tasksOf(lines: readonly LineState[], span: Span): Task[] {
  const nexts = new Map<string, NextWindow>();
  const standings = new Map<string, Standing>();
  // Once done, a duty's next window depends on when, on the policy, and on how the line is looked after; of what was told of a
  // line after the time planned begins, on since when it is so as well.
  const sortOf = (line: LineState, kind: DutyKind) =>
    [
      line.flushMode,
      Math.max(span.fromMs, line.flushModeSince, line.knownSince),
      line.away?.from ?? '',
      // Only what hangs on an interval of its own is told apart by it: the fewer sorts, the faster the plan.
      kind === 'site' ? siteCheckHours(line, span.policy) : '',
      kind === 'stillNeeded' ? stillNeededHours(line, span.policy) : '',
    ].join(' ');
  const nextOf = (line: LineState, duty: Duty): { name: string; next: NextWindow } => {
    const name = `${duty.kind} ${sortOf(line, duty.kind)}`;
    const next = nexts.get(name) ?? remembered((at) => windowAfter(line, duty, at, span));
    nexts.set(name, next);
    return { name, next };
  };
  const looseNexts = new Map<string, LooseWindow['next']>();
  /** The same duty asked for less: done once, it may be done again at any time, if its window moves with its doing. */
  const loose = (
    kind: DutyKind,
    name: string,
    opens: number,
    latest: number,
    next: NextWindow,
  ): LooseWindow => {
    const own = `${name} ${kind}`;
    const moves = kind === 'flush' || kind === 'site' || kind === 'redress' || kind === 'stillNeeded';
    const looseNext =
      looseNexts.get(own) ??
      remembered((at) => {
        const coming = next(at);
        const from = moves ? Number.NEGATIVE_INFINITY : coming?.opens;
        return coming && loose(kind, name, from ?? coming.opens, coming.latest, next);
      });
    looseNexts.set(own, looseNext);
    return { opens, latest, next: looseNext };
  };
  const one = (name: string, make: () => Standing): Standing => {
    const standing = standings.get(name) ?? make();
    standings.set(name, standing);
    return standing;
  };
  const alone = (kind: DutyKind, name: string, window: Window | null, next: NextWindow): Standing =>
    window === null
      ? over
      : one(`${name} ${nameOf(window)}`, () => ({
          name: `${name} ${nameOf(window)}`,
          latest: window.latest,
          after: remembered((at) =>
            window.opens > at
              ? []
              : [{ to: alone(kind, name, next(at), next), late: weight(window, at), does: [kind] }],
          ),
          loosely: [loose(kind, name, window.opens, window.latest, next)],
        }));
  const dressing = (
    name: string,
    site: Window | null,
    redress: Window | null,
    nextSite: NextWindow,
    nextRedress: NextWindow,
  ): Standing => {
    if (site === null && redress === null) return over;
    const own = `${name} ${nameOf(site)} ${nameOf(redress)}`;
    const then = (at: number, dressed: Window | null) =>
      dressing(name, nextSite(at), dressed, nextSite, nextRedress);
    return one(own, () => ({
      name: own,
      latest: Math.min(site?.latest ?? over.latest, redress?.latest ?? over.latest),
      after: remembered((at) => {
        const moves: Move[] = [];
        if (site && site.opens <= at)
          moves.push({ to: then(at, redress), late: weight(site, at), does: ['site'] });
        if (redress && redress.opens <= at)
          moves.push({
            to: then(at, nextRedress(at)),
            late: weight(redress, at) + (site ? weight(site, at) : 0),
            does: ['redress'],
          });
        return moves;
      }),
      loosely: [
        site
          ? loose('site', name, Math.min(site.opens, redress?.opens ?? site.opens), site.latest, nextSite)
          : never,
        redress ? loose('redress', name, redress.opens, redress.latest, nextRedress) : never,
      ],
    }));
  };
  return lines.flatMap((line) => {
    const duties = dutiesOfLine(line, span.policy, span.fromMs).filter(
      (duty) => isOwed(duty, span) && !isNews(duty),
    );
    const site = duties.find(({ kind }) => kind === 'site');
    const redress = duties.find(({ kind }) => kind === 'redress');
    const pair =
      site && redress
        ? [
            dressing(
              `dressing ${sortOf(line, 'site')}`,
              windowOf(site, span),
              windowOf(redress, span),
              nextOf(line, site).next,
              nextOf(line, redress).next,
            ),
          ]
        : [];
    const others = duties
      .filter((duty) => pair.length === 0 || (duty !== site && duty !== redress))
      .map((duty) => {
        const { name, next } = nextOf(line, duty);
        return alone(duty.kind, name, windowOf(duty, span), next);
      });
    return [...pair, ...others].map((begin) => ({ lineId: line.id, begin }));
  });
}

function windowAfter(line: LineState, duty: Duty, at: number, span: Span): Window | null {
  if (!repeats(duty.kind)) return null;
  const done = doneAt(line, duty, at, span);
  const coming = dutiesOfLine(done, span.policy, span.fromMs).find(({ kind }) => kind === duty.kind);
  return coming && isOwed(coming, span) ? windowOf(coming, span) : null;
}

/** The line after a duty was done at a minute, told by the record's own fold as if nothing was told of it later. */
function doneAt(line: LineState, duty: Duty, at: number, { policy }: Span): LineState {
  const atMs = at * minuteMs;
  return imagined({ ...line, latestAt: Math.min(line.latestAt, atMs) }, policy, duty, atMs);
}

/** A minute late is 1, two are 4: what is spread over several duties weighs less than what one bears. */
function weight({ due }: Window, at: number): number {
  return Math.max(0, at - due) ** 2;
}

function nameOf(window: Window | null): string {
  return window ? `${window.opens}-${window.latest}-${window.due}` : '-';
}

function remembered<T>(make: (at: number) => T): (at: number) => T {
  const known = new Map<number, T>();
  return (at) => {
    if (known.has(at)) return known.get(at) as T;
    const made = make(at);
    known.set(at, made);
    return made;
  };
}

/**
 * Moves visits, one or several in a row together, while every window is still met and lateness weighs less. Where it
 * ends no such move helps, or enough was tried: a good plan, not proved the best of its length.
 */
function spreadLateness(tasks: readonly Task[], instants: readonly number[], span: Span): number[] {
  const alike = [...Map.groupBy(tasks, ({ begin }) => begin.name).values()];
  let left = spreadEffort;
  const cost = (some: readonly number[]): number => {
    left -= alike.length * some.length * 3;
    let sum = 0;
    for (const same of alike) {
      const best = same[0] && bestMoves(same[0].begin, some);
      if (!best) return Number.POSITIVE_INFINITY;
      sum += best.late * same.length;
    }
    return sum;
  };
  let best = [...instants];
  let least = cost(best);
  const tryMove = (from: number, to: number, step: number): boolean => {
    const moved = best.map((at, index) => (index >= from && index <= to ? at + step : at));
    const isInOrder =
      (moved[from] ?? 0) > (moved[from - 1] ?? span.first - 1) &&
      (moved[to] ?? 0) < (moved[to + 1] ?? span.last + 1);
    if (!isInOrder || left <= 0) return false;
    const weighs = cost(moved);
    // As late as it weighs no more: what is counted from a visit then comes later too.
    if (weighs > least || (weighs === least && step < 0)) return false;
    best = moved;
    least = weighs;
    return true;
  };
  for (let isBetter = true; isBetter && left > 0; ) {
    isBetter = false;
    for (const step of [-20, -5, -1, 1, 5])
      for (let from = 0; from < best.length; from++)
        for (let to = from; to < best.length; to++) while (tryMove(from, to, step)) isBetter = true;
  }
  return best;
}

/**
 * The plan told to the fold, visit by visit: so a zero that a redress asks for is done at the same visit, what another
 * duty's doing cleared is not done again, and nothing that would be late at the next visit is left.
 */
function recordedForTheFold(
  lines: readonly LineState[],
  tasks: readonly Task[],
  instants: readonly number[],
  span: Span,
): Round[] {
  const planned = new Set<string>();
  for (const { lineId, begin } of tasks)
    for (const { at, does } of bestMoves(begin, instants)?.done ?? [])
      for (const kind of does) planned.add(`${lineId} ${at} ${kind}`);
  let ahead = lines.map((line) => ({ line, asked: new Set<DutyKind>() }));
  return instants.map((at, index) => {
    const nextVisit = instants[index + 1] ?? span.last + 1;
    const duties: Duty[] = [];
    ahead = ahead.map(({ line, asked }) => {
      const here = new Set<DutyKind>();
      let state = line;
      for (;;) {
        const open = dutiesOfLine(state, span.policy, span.fromMs).filter((duty) => {
          if (!isOwed(duty, span) || asked.has(duty.kind) || here.has(duty.kind)) return false;
          const { opens, latest } = windowOf(duty, span);
          if (isNews(duty)) return dueIsPast(duty, at);
          const isAsked =
            planned.has(`${line.id} ${at} ${duty.kind}`) || duty.why === 'redressed' || latest < nextVisit;
          return opens <= at && isAsked;
        });
        // A redress comes first: it asks for the zero, and is a site check.
        const duty = open.find(({ kind }) => kind === 'redress') ?? open[0];
        if (!duty) break;
        here.add(duty.kind);
        duties.push(duty);
        state = doneAt(state, duty, at, span);
      }
      const once = [...here].filter((kind) => !repeats(kind));
      return { line: state, asked: new Set([...asked, ...once]) };
    });
    return { at: at * minuteMs, duties };
  });
}
