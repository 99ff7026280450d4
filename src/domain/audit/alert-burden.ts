import type { DutyKind } from '../duty-kind.ts';
import type { Entry } from '../record/entry.ts';
import { shiftAt, shiftStartsBetween } from '../shifts/shift-calendar.ts';
import type { ShiftPlan } from '../shifts/shift-plan.ts';
import { isWithin, lineDaysOf, type Period, type Stay, timeInMs } from './line-course.ts';
import { type Spread, spreadOf } from './spread.ts';
import { fewest } from './too-few.ts';

/** What the bot's reminders cost those who read them. */
export interface AlertBurden {
  /**
   * Messages: one that speaks of several lines or duties is one message, as it was one ping; what was added to one that stood is
   * none. Whoever leads the nurses counts with them, the backup with whoever is on call.
   */
  messages: { nudges: number; toNurse: number; toClinician: number; toNobody: number };
  /** Each line that a message names counts: per line-day; null where lines were in for less than a day in all. */
  nudgesPerLineDay: number | null;
  escalationsPerLineDay: number | null;
  /** Too few line-days for these to mean anything. */
  tooFewDays: boolean;
  /**
   * Messages in each shift of the period in which a line was in or a reminder was sent, the same shifts for both; one that the
   * period cuts counts as one.
   */
  nudgesPerShift: Spread & { mean: number | null };
  escalationsPerShift: Spread & { mean: number | null };
  /** How often a duty of each kind was named, to anybody. */
  byDuty: Partial<Record<DutyKind, number>>;
}

/** One reminder as a line's log has it; lines that one message speaks of have it at the same instant. */
export interface Alert {
  /** When it was sent, ms. */
  at: number;
  to: keyof AlertBurden['messages'];
  user: string | null;
  kinds: DutyKind[];
  /** It was added to a message that stood, and no phone rang. */
  joined: boolean;
}

/**
 * The reminders of one line, by when they were sent: `at` is later in the log of a line of which something was recorded by a clock
 * that is ahead. `toNobody`: escalations cried out in the channel, nobody being on call or whoever was not answering.
 */
export function alertsOf(log: readonly Entry[]): Alert[] {
  const alerts: Alert[] = [];
  for (const { told: at, kind, body } of log) {
    if (kind !== 'nudged' && kind !== 'escalated') continue;
    const kinds = body.duties.map(([duty]) => duty);
    if (kind === 'nudged') alerts.push({ at, to: 'nudges', user: body.nurse ?? null, kinds, joined: false });
    else {
      const { to, user = null, joins } = body;
      const isNurses = to === 'nurse' || to === 'lead';
      alerts.push({
        at,
        to: isNurses ? 'toNurse' : user === null ? 'toNobody' : 'toClinician',
        user,
        kinds,
        joined: joins !== undefined,
      });
    }
  }
  return alerts;
}

/** What the reminders of the period's lines came to. */
export function alertBurden(
  alerts: readonly Alert[],
  stays: readonly Stay[],
  plan: ShiftPlan,
  period: Period,
): AlertBurden {
  const alerted = alerts.filter(({ at }) => isWithin(at, period));
  const byDuty: AlertBurden['byDuty'] = {};
  for (const { kinds } of alerted) for (const kind of kinds) byDuty[kind] = (byDuty[kind] ?? 0) + 1;
  const lineNudges = alerted.filter(({ to }) => to === 'nudges').length;
  const all = messagesOf(alerted.filter(({ joined }) => !joined));
  const count = (to: keyof AlertBurden['messages']) => all.filter((one) => one.to === to).length;
  const lineDays = lineDaysOf(stays, period);
  const perLineDay = (events: number) => (lineDays >= fewest.lineDaysGiven ? events / lineDays : null);
  const shifts = shiftsOf(stays, plan, period);
  const inShift = shifts.starts.map(() => ({ nudges: 0, escalations: 0 }));
  for (const { at, to } of all) {
    const shift = inShift[shifts.indexAt(at)];
    if (shift) shift[to === 'nudges' ? 'nudges' : 'escalations'] += 1;
  }
  // A reminder of a limb may come when no line is in: its shift counts too.
  const counted = inShift.filter(
    ({ nudges, escalations }, index) => nudges + escalations > 0 || shifts.hadLine[index],
  );
  const perShift = (which: 'nudges' | 'escalations') => {
    const values = counted.map((shift) => shift[which]);
    const sum = values.reduce((total, value) => total + value, 0);
    return { ...spreadOf(values), mean: values.length > 0 ? sum / values.length : null };
  };
  return {
    messages: {
      nudges: count('nudges'),
      toNurse: count('toNurse'),
      toClinician: count('toClinician'),
      toNobody: count('toNobody'),
    },
    nudgesPerLineDay: perLineDay(lineNudges),
    escalationsPerLineDay: perLineDay(alerted.length - lineNudges),
    tooFewDays: lineDays < fewest.lineDays,
    nudgesPerShift: perShift('nudges'),
    escalationsPerShift: perShift('escalations'),
    byDuty,
  };
}

/** A message that speaks of several lines is in each one's log, at one instant: it is one. */
function messagesOf(alerted: readonly Alert[]): Alert[] {
  const atOnce = new Map<number, Alert[]>();
  for (const alert of alerted) {
    const others = atOnce.get(alert.at);
    if (!others) atOnce.set(alert.at, [alert]);
    else if (!others.some(({ to, user }) => to === alert.to && user === alert.user)) others.push(alert);
  }
  return [...atOnce.values()].flat();
}

/** The shifts from the first line of the period on, and in which of them a line was in. */
function shiftsOf(
  stays: readonly Stay[],
  plan: ShiftPlan,
  { fromMs, toMs }: Period,
): { starts: number[]; hadLine: boolean[]; indexAt: (at: number) => number } {
  const earliest = stays.reduce((first, { placedAt }) => Math.min(first, placedAt), toMs - 1);
  const beginMs = Math.max(fromMs, earliest);
  const starts = [shiftAt(plan, beginMs).startMs, ...shiftStartsBetween(plan, beginMs, toMs - 1)];
  const indexAt = (at: number) => {
    let low = 0;
    let high = starts.length;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if ((starts[middle] ?? 0) <= at) low = middle;
      else high = middle;
    }
    return low;
  };
  const hadLine = starts.map(() => false);
  for (const stay of stays) {
    if (timeInMs(stay, { fromMs, toMs }) === 0) continue;
    const until = Math.min(stay.outAt ?? toMs, toMs) - 1;
    hadLine.fill(true, indexAt(Math.max(stay.placedAt, fromMs)), indexAt(until) + 1);
  }
  return { starts, hadLine, indexAt };
}
