import type { WardPolicy } from '../policy/ward-policy.ts';
import { nextShiftStart } from '../shifts/shift-calendar.ts';
import { minuteMs } from '../time.ts';

/** A shift that starts within this (min) is the one a handover speaks to. */
const soonMin = 60;

/** How long before a shift starts a handover speaks to it, ms. */
export function soonMs({ handoverBeforeMin }: Pick<WardPolicy, 'handoverBeforeMin'>): number {
  return Math.max(soonMin, handoverBeforeMin) * minuteMs;
}

/**
 * The start (ms) of the shift that a handover hands the ward over to: its own where it came by itself, the one that begins
 * soon where somebody asked for it; null for one asked for in the middle of a shift, which hands over what is left of it.
 */
export function handedOverShift(policy: WardPolicy, handover: { for: number; auto: boolean }): number | null {
  if (handover.auto) return handover.for;
  const start = nextShiftStart(policy.shifts, handover.for - 1);
  return start - handover.for <= soonMs(policy) ? start : null;
}
