import { type Duty } from '../duties/duty.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import { shiftAt } from '../shifts/shift-calendar.ts';
import { minuteMs } from '../time.ts';

/**
 * From this long before a shift starts visits are that shift's, ms: what is due as it starts is asked for while both teams are at
 * the bedside, and is done in time. Sooner, somebody would be called who isn't on yet. Common practice, no source.
 */
const takeoverLeadMs = 5 * minuteMs;

/** The instant as of which it is decided whose a visit at `at` is, ms: `at` itself, or the start of the shift that begins within the lead. */
export function visitAsOf({ shifts }: Pick<WardPolicy, 'shifts'>, at: number): number {
  return Math.max(at, shiftAt(shifts, at + takeoverLeadMs).startMs);
}

/** From when on visits are of the shift that a visit at `at` belongs to, ms. */
export function visitsOfShiftFrom({ shifts }: Pick<WardPolicy, 'shifts'>, at: number): number {
  return nextShiftsVisitsFrom(shiftAt(shifts, at + takeoverLeadMs).startMs);
}

/** The next instant from which visits are another shift's, ms. */
export function nextTakeover({ shifts }: Pick<WardPolicy, 'shifts'>, at: number): number {
  return nextShiftsVisitsFrom(shiftAt(shifts, at + takeoverLeadMs).endMs);
}

/**
 * How long before it is due a duty is asked for, ms: what is due as a shift starts by the lead, where it counts by then (the ward's
 * `shiftEarlyMin`); all else not before it is due.
 */
export function leadOf({ why, dueAt, earliestAt }: Pick<Duty, 'why' | 'dueAt' | 'earliestAt'>): number {
  return why === 'shift start' ? Math.min(takeoverLeadMs, dueAt - earliestAt) : 0;
}

/** From when on visits are those of the shift that starts at `startMs`, ms. */
export function nextShiftsVisitsFrom(startMs: number): number {
  return startMs - takeoverLeadMs;
}
