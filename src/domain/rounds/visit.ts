import { isEscorted, linesOnWard } from '../away/away.ts';
import { atOnceMs, isAtOnce } from '../duties/at-once.ts';
import { dutiesOfLine, everyDuty, isOwedAt } from '../duties/duties-of-line.ts';
import { type Duty, saidAfter } from '../duties/duty.ts';
import { claimOn, marksOn, saidNear } from '../duties/marks-on.ts';
import { perState } from '../duties/per-state.ts';
import { urgencyOf } from '../duties/urgency.ts';
import { isClinicians } from '../duty-kind.ts';
import { type InParts, whole } from '../in-parts.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { nextShiftStart } from '../shifts/shift-calendar.ts';
import { dayMs, hourMs, minuteMs } from '../time.ts';
import { nurseOf } from '../ward/on-call.ts';
import type { WardState } from '../ward/ward-state.ts';
import { imagined, type Round, repeats } from './rounds.ts';
import { leadOf, visitAsOf } from './takeover.ts';

/**
 * Whether a duty is done on a nurse's visits. What is a clinician's, a question, a cat's dwell limit and the look after a hold
 * speak for themselves.
 */
export function isOnVisits({ kind }: Pick<Duty, 'kind'>, policy: WardPolicy): boolean {
  return !isClinicians(kind) && !speaksForItself({ kind }) && urgencyOf(policy, kind) !== 'question';
}

/** What has a message of its own, whatever was said to the ward a moment ago: a cat's dwell limit, and the look after a hold. */
export const speakForThemselves = ['dwellLimit', 'hold'] as const;

/** Whether a duty has a message of its own, and waits for no visit. */
export function speaksForItself({ kind }: Pick<Duty, 'kind'>): boolean {
  return speakForThemselves.some((one) => one === kind);
}

/** A cat's dwell warning is news, not work: any visit carries it, and none begins for it before half its time is over. */
export function isNews({ kind }: Pick<Duty, 'kind'>): boolean {
  return kind === 'dwellWarning';
}

/**
 * When a duty is to be asked for at the latest, ms: when it is due; what is due "at once" a little later, since whoever caused it
 * usually does it; put off, when that ends. A visit begins then, so that no interval is stretched.
 */
export function askBy(line: LineState, duty: Duty, policy: WardPolicy): number {
  const marks = marksOn(line, duty);
  const { snoozed } = marks;
  const held = claimOn(marks)?.until ?? 0;
  const carriedMs = isNews(duty) ? Math.max(0, (duty.expiresAt ?? duty.dueAt) - duty.dueAt) / 2 : 0;
  const usually = Math.round(duty.dueAt + carriedMs) + atOnceMs(duty, policy) - leadOf(duty);
  return Math.max(usually, snoozed?.until ?? 0, held);
}

function isHeld(line: LineState, duty: Duty, at: number): boolean {
  return (claimOn(marksOn(line, duty))?.until ?? 0) > at;
}

/** Whether a visit may ask for a duty: news is said once. */
function isAskable(line: LineState, duty: Duty, policy: WardPolicy): boolean {
  return isOnVisits(duty, policy) && !(isNews(duty) && saidNear(line, duty, policy, 'nudged') !== undefined);
}

/** What a visit asked for and nobody did begins another visit so long after, ms: no duty is open and out of sight. */
const askedAgainMs = hourMs;

/** When a visit must begin for this duty, ms: by when it is asked for, and again an hour after it was. */
function beginsAt(line: LineState, duty: Duty, policy: WardPolicy): number {
  const by = askBy(line, duty, policy);
  const nudged = saidNear(line, duty, policy, 'nudged');
  const { snoozed } = marksOn(line, duty);
  return nudged === undefined || (snoozed && saidAfter(snoozed, nudged))
    ? by
    : Math.max(by, nudged.at + askedAgainMs);
}

/**
 * When this line's next visit must begin, ms; null where nothing that a visit does is left to ask for. A patient that is off the
 * ward with somebody named is visited by nobody of the ward.
 */
export function visitBy(line: LineState, policy: WardPolicy, now: number): number | null {
  if (isEscorted(line)) return null;
  let first = Number.POSITIVE_INFINITY;
  for (const { duty, begins } of everyAsk(line, policy))
    if (isOwedAt(duty, now)) first = Math.min(first, begins);
  return first === Number.POSITIVE_INFINITY ? null : first;
}

/** A duty on visits, with when it is asked for at the latest, and when a visit must begin for it, ms. */
interface Ask {
  line: LineState;
  duty: Duty;
  by: number;
  begins: number;
}

/** What a visit to a line may ask for, whatever the time. */
const everyAsk = perState((line, policy): readonly Ask[] =>
  everyDuty(line, policy)
    .filter((duty) => isAskable(line, duty, policy))
    .map((duty) => ({
      line,
      duty,
      by: askBy(line, duty, policy),
      begins: beginsAt(line, duty, policy),
    })),
);

/**
 * What a visit that begins at `at` (ms) does, of the lines of one nurse; empty where none has to begin. It does what must be
 * asked for now, with what was asked before and is still open, and takes along just what would otherwise need a visit before
 * the next: so nothing is done sooner than it must be, no interval is stretched, and few visits are needed. What falls due in
 * the next shift is left to whoever has the line then.
 *
 * Example: flushes due 02:00, 02:20 and 03:10, each possible from 30 min before, every 60 min → at 02:00 the first two.
 */
export function visitAt(lines: readonly LineState[], policy: WardPolicy, at: number): Duty[] {
  const asks = asksOf(lines, policy, at);
  if (!asks.some(({ begins }) => begins <= at)) return [];
  const isMust = ({ line, duty, by }: Ask) =>
    by <= at || (isNews(duty) && duty.dueAt <= at && !isHeld(line, duty, at));
  const must = asks.filter(isMust);
  const mayWait = asks.filter((ask) => !isMust(ask));
  const shiftEnd = nextShiftStart(policy.shifts, visitAsOf(policy, at));
  const isOpen = ({ duty }: Ask) => duty.earliestAt <= at && duty.dueAt < shiftEnd;
  const done = (mine: readonly Ask[]) => nextAskAfter(mine, policy, at);
  let next = Math.min(done(must), ...mayWait.filter((ask) => !isOpen(ask)).map(({ by }) => by));
  const along: Ask[] = [];
  for (const ask of mayWait.filter(isOpen).sort((a, b) => a.by - b.by)) {
    if (ask.by >= next) break;
    along.push(ask);
    next = Math.min(next, done([ask]));
  }
  return [...must, ...along].map(({ duty }) => duty);
}

/**
 * The visits of one nurse's lines from `fromMs` to `toMs` (exclusive, ms), as they come if each is made when it begins: just
 * what will be asked for, by the same rule.
 */
export function visitsBetween(
  lines: readonly LineState[],
  policy: WardPolicy,
  fromMs: number,
  toMs: number,
): Round[] {
  return whole(visitsInParts(lines, policy, fromMs, toMs));
}

/** The same, visit by visit. */
export function* visitsInParts(
  lines: readonly LineState[],
  policy: WardPolicy,
  fromMs: number,
  toMs: number,
): InParts<Round[]> {
  const visits: Round[] = [];
  // What was asked for already is still to be done: the first visit does it.
  let ahead = linesOnWard(lines).map((line) => ({ ...line, marks: withoutAsks(line.marks) }));
  for (let from = fromMs; ; ) {
    const begins = ahead.flatMap((line) => visitBy(line, policy, from) ?? []);
    const at = Math.max(from, Math.min(...begins));
    if (!(at < toMs)) return visits;
    const duties = visitAt(ahead, policy, at).toSorted((a, b) => a.dueAt - b.dueAt);
    visits.push({ at, duties });
    ahead = ahead.map((line) => {
      const mine = duties.filter(({ lineId }) => lineId === line.id);
      const once = mine.filter(({ kind }) => !repeats(kind));
      const after = cared(line, mine, policy, at);
      const marks = { ...after.marks };
      // Only a person can say what was done: it is listed once.
      for (const { kind, dueAt } of once)
        marks[kind] = {
          ...marks[kind],
          claimed: { dueAt, at, until: toMs + dayMs, by: 'forecast', entry: after.version },
        };
      return { ...after, marks };
    });
    from = at + minuteMs;
    yield;
  }
}

/** The visits of each nurse's lines as they are shared out at `sharedAt` (ms), in the order of the nurses' ids. */
export function visitsByNurse(
  ward: WardState,
  lines: readonly LineState[],
  fromMs: number,
  toMs: number,
  sharedAt: number,
): { nurse: string; visits: Round[] }[] {
  return [...Map.groupBy(linesOnWard(lines), (line) => nurseOf(ward, line, sharedAt))]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([nurse, mine]) => ({ nurse, visits: visitsBetween(mine, ward.policy, fromMs, toMs) }));
}

function withoutAsks(marks: LineState['marks']): LineState['marks'] {
  return Object.fromEntries(
    Object.entries(marks).map(([kind, { nudged: _asked, ...said }]) => [kind, said]),
  ) as LineState['marks'];
}

function asksOf(lines: readonly LineState[], policy: WardPolicy, at: number): Ask[] {
  return linesOnWard(lines).flatMap((line) =>
    everyAsk(line, policy).filter(({ duty }) => isOwedAt(duty, at)),
  );
}

/** The first instant at which any of these duties is asked for again, were they all done at `at`, ms. */
function nextAskAfter(done: readonly Ask[], policy: WardPolicy, at: number): number {
  let next = Number.POSITIVE_INFINITY;
  for (const [line, mine] of Map.groupBy(done, (ask) => ask.line)) {
    const duties = mine.map(({ duty }) => duty);
    const kinds = new Set(duties.map(({ kind }) => kind));
    const after = cared(line, duties, policy, at);
    for (const duty of dutiesOfLine(after, policy, at))
      if (kinds.has(duty.kind) && isOnVisits(duty, policy) && duty.dueAt > at)
        next = Math.min(next, askBy(after, duty, policy));
  }
  return next;
}

/** The line after these duties were done at `at` (ms), with what their own acts make due at once: a redress asks for a zero. */
function cared(line: LineState, duties: readonly Duty[], policy: WardPolicy, at: number): LineState {
  if (duties.length === 0) return line;
  const before = dutiesOfLine(line, policy, at);
  const done = duties.reduce((state, duty) => imagined(state, policy, duty, at), line);
  const wasDue = ({ kind, dueAt, armedBy }: Duty) =>
    before.some((one) => one.kind === kind && one.dueAt === dueAt && one.armedBy === armedBy);
  const caused = dutiesOfLine(done, policy, at).filter(
    (duty) =>
      isAtOnce(duty) &&
      duty.dueAt <= Math.max(at, line.latestAt) &&
      isOnVisits(duty, policy) &&
      !wasDue(duty),
  );
  return caused.reduce((state, duty) => imagined(state, policy, duty, at), done);
}
