import { dayMs } from '../time.ts';
import type { ShiftPlan } from './shift-plan.ts';
import { instantMeantBy } from './wall-instants.ts';
import { minutesAfterMidnight } from './wall-time.ts';
import { midnightOffsetMs } from './zone-offset.ts';

/** One shift on one day: from `startMs` up to, not including, `endMs`, the start of the next. */
export interface Shift {
  name: string;
  startMs: number;
  endMs: number;
}

interface ShiftStart {
  name: string;
  startMs: number;
}

/**
 * Days looked at either way of about today: one for a whole shift, one for a day skipped or repeated, one to see
 * whether a start is overtaken, one for `wallDay`'s guess.
 */
const NEIGHBOUR_DAYS = 4;

const DAYS_KEPT = 512;
const startsOfPlan = new WeakMap<ShiftPlan, Map<number, readonly ShiftStart[]>>();

/**
 * The shift that runs at the instant `atMs` in the ward's zone.
 *
 * Shifts start by the clock on the wall. A start that a clock change skips comes later by the length of the gap; a
 * start that comes twice counts the first time (RFC 5545; Temporal "compatible"). A shift over a clock change lasts
 * an hour less or more: Night 19:00–07:00 in Berlin lasts 11 h on 28 March 2026 and 13 h on 24 October 2026.
 * When a skipped start lands on or after the start of a later shift, the earlier one would last nothing or less: it
 * does not take place, and the shift before it runs on to the later one. So shifts follow each other in the order of
 * the plan without gap or overlap. See docs/decisions/003-shift-starts-and-clock-changes.md.
 *
 * Throws a RangeError when `atMs` is not a date or the plan has not been parsed by `shiftPlanSchema`.
 */
export function shiftAt(plan: ShiftPlan, atMs: number): Shift {
  const starts = startsAround(plan, wallDay(plan.zone, atMs));
  const nextIndex = starts.findIndex((start) => start.startMs > atMs);
  const running = starts[nextIndex - 1];
  const next = starts[nextIndex];
  if (!running || !next) {
    throw new RangeError(
      `No shift around instant ${atMs}: the plan has ${plan.shifts.length} shifts, 1 to 4 are allowed.`,
    );
  }
  return { name: running.name, startMs: running.startMs, endMs: next.startMs };
}

/** The shift before the one that runs at `atMs`; it ends where that one starts. */
export function previousShift(plan: ShiftPlan, atMs: number): Shift {
  return shiftAt(plan, shiftAt(plan, atMs).startMs - 1);
}

/** The first instant (ms) strictly after `afterMs` at which a shift starts. */
export function nextShiftStart(plan: ShiftPlan, afterMs: number): number {
  return shiftAt(plan, afterMs).endMs;
}

/**
 * Every instant (ms) at which a shift starts, after `fromMs` and up to and including `toMs`, in order.
 * Empty when `toMs` is not after `fromMs`. Joined ranges give each start once.
 */
export function shiftStartsBetween(plan: ShiftPlan, fromMs: number, toMs: number): number[] {
  const firstDay = wallDay(plan.zone, fromMs) - NEIGHBOUR_DAYS;
  const lastDay = wallDay(plan.zone, toMs) + NEIGHBOUR_DAYS;
  return startsOnDays(plan, firstDay, lastDay)
    .map((start) => start.startMs)
    .filter((startMs) => startMs > fromMs && startMs <= toMs);
}

/**
 * The starts around a wall day. Remembered for each plan, since an audit asks a hundred thousand times about the days of a
 * year; a plan is never changed but replaced by another, so callers cannot tell.
 */
function startsAround(plan: ShiftPlan, day: number): readonly ShiftStart[] {
  let known = startsOfPlan.get(plan);
  if (!known) {
    known = new Map();
    startsOfPlan.set(plan, known);
  }
  const remembered = known.get(day);
  if (remembered) return remembered;
  const starts = startsOnDays(plan, day - NEIGHBOUR_DAYS, day + NEIGHBOUR_DAYS);
  if (known.size >= DAYS_KEPT) known.clear();
  known.set(day, starts);
  return starts;
}

/**
 * The starts that take place on the wall days `firstDay` to `lastDay`, in order, strictly increasing.
 * Starts of the last day may yet be overtaken on the day after it.
 */
function startsOnDays(plan: ShiftPlan, firstDay: number, lastDay: number): ShiftStart[] {
  const backwards = plan.shifts
    .map((shift) => ({ name: shift.name, afterMidnightMs: minutesAfterMidnight(shift.startsAt) * 60_000 }))
    .sort((one, other) => other.afterMidnightMs - one.afterMidnightMs);
  const starts: ShiftStart[] = [];
  let earliestLaterMs = Number.POSITIVE_INFINITY;
  // Walks back from the last start, so that each one knows whether a later shift has overtaken it.
  for (let day = lastDay; day >= firstDay; day -= 1) {
    for (const { name, afterMidnightMs } of backwards) {
      const startMs = instantMeantBy(plan.zone, day * dayMs + afterMidnightMs);
      if (startMs >= earliestLaterMs) continue;
      earliestLaterMs = startMs;
      starts.push({ name, startMs });
    }
  }
  return starts.reverse();
}

/**
 * About the date on the ward's wall calendar at an instant, as days since 1 January 1970: in the hours around a clock
 * change it may be the day beside it, which the neighbour days allow for. Exact would cost a call to the runtime.
 */
function wallDay(zone: string, atMs: number): number {
  return Math.floor((atMs + midnightOffsetMs(zone, Math.floor(atMs / dayMs))) / dayMs);
}
