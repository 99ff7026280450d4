import { DateTime } from 'luxon';
import { nextShiftStart } from '../shifts/shift-calendar.ts';
import type { ShiftPlan } from '../shifts/shift-plan.ts';
import { instantMeantBy } from '../shifts/wall-instants.ts';
import { hourMs } from '../time.ts';
import type { WardState } from '../ward/ward-state.ts';
import type { Period } from './line-course.ts';

/** Midnight of the first of a month in the ward's zone, ms: of the month that `atMs` lies in, or so many after it. */
function monthStart(zone: string, atMs: number, monthsAfter = 0): number {
  const { year, month } = DateTime.fromMillis(atMs, { zone });
  const first = DateTime.fromObject({ year, month, day: 1 }, { zone: 'utc' }).plus({ months: monthsAfter });
  return instantMeantBy(zone, first.toMillis());
}

/** The first shift start at or after an instant, ms. */
function firstShiftFrom(plan: ShiftPlan, atMs: number): number {
  return nextShiftStart(plan, atMs - 1);
}

/**
 * The next instant (ms) strictly after `now` at which a month's audit is posted: the first shift start of a calendar month in
 * the ward's zone.
 *
 * Example: day 07:00, on 24 November → 1 December 07:00 on the ward's clock.
 */
export function nextAuditAt(plan: ShiftPlan, now: number): number {
  const known = lastFound.get(plan);
  if (known && now >= known.askedAt && now < known.next) return known.next;
  const thisMonth = firstShiftFrom(plan, monthStart(plan.zone, now));
  const next = thisMonth > now ? thisMonth : firstShiftFrom(plan, monthStart(plan.zone, now, 1));
  lastFound.set(plan, { askedAt: now, next });
  return next;
}

/**
 * What was found last for each plan: until then it stays the next. A ward asks at every wake-up, and a calendar is slow; a plan
 * is never changed but replaced by another.
 */
const lastFound = new WeakMap<ShiftPlan, { askedAt: number; next: number }>();

/** Midnights of one day in any two zones of the world are no more than this apart. */
const zonesApartMs = 26 * hourMs;

/** Whether the month that ends at `toMs` was audited, be it by the clock of a zone that the ward has left since. */
export function isAudited({ auditedTo }: Pick<WardState, 'auditedTo'>, toMs: number): boolean {
  return auditedTo !== null && auditedTo >= toMs - zonesApartMs;
}

/** Of months missed no more are made up for: a channel is not buried in what nobody waits for any more. */
export const mostMonthsOwed = 3;

/**
 * The calendar month whose audit is owed at `now` and was not posted: the oldest of the latest three that are over, each from
 * the first shift start after it on, however late. Null where all were posted, or the ward's first line on the list and first
 * entry are younger. A ward with neither may have had lines that came and went: its latest month is owed, and whoever counts it
 * finds whether there was one.
 *
 * Example: audited up to 1 September, on 5 December → September; once that is posted October, then November.
 */
export function monthOwed(
  ward: Pick<WardState, 'policy' | 'begunAt' | 'auditedTo'>,
  lines: readonly { placed: { at: number } }[],
  now: number,
): Period | null {
  const { shifts } = ward.policy;
  const { zone } = shifts;
  const isOver = firstShiftFrom(shifts, monthStart(zone, now)) <= now;
  const latestToMs = monthStart(zone, now, isOver ? 0 : -1);
  if (isAudited(ward, latestToMs)) return null;
  const begunAt = lines.reduce(
    (first, { placed }) => Math.min(first, placed.at),
    ward.begunAt ?? Number.POSITIVE_INFINITY,
  );
  const monthTo = (toMs: number): Period => ({ fromMs: monthStart(zone, toMs - 1), toMs });
  if (begunAt === Number.POSITIVE_INFINITY) return monthTo(latestToMs);
  let owed: Period | null = null;
  for (let toMs = latestToMs, months = 0; months < mostMonthsOwed; months += 1) {
    if (begunAt >= toMs || isAudited(ward, toMs)) break;
    owed = monthTo(toMs);
    toMs = owed.fromMs;
  }
  return owed;
}
