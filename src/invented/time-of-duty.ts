import type { Duty } from '../domain/duties/duty.ts';
import { graceOf } from '../domain/policy/ward-policy.ts';
import { minuteMs } from '../domain/time.ts';
import type { Chance } from './chance.ts';
import type { InventedWard } from './invented-ward.ts';
import { inventedYear } from './invented-year.ts';

/** When a duty is done, ms, by chance; null where nobody does it, or where it is nothing to do. */
export function timeOfDuty(duty: Duty, ward: InventedWard, chance: Chance): number | null {
  const soon = (low: number, high: number) =>
    Math.max(ward.now, duty.dueAt) + chance.between(low, high) * minuteMs;
  // Nobody here leaves a fault half way.
  if (duty.kind === 'dwellWarning' || duty.kind === 'faultOpen') return null;
  if (duty.kind === 'hold') return soon(0.5, 5);
  if (duty.kind === 'finding') return soon(18, 60);
  if (duty.kind === 'fault') return soon(10, 40);
  // Whether a limit is kept is the line's fate; where it is not, the clinician decides.
  if (duty.kind === 'dwellLimit') return soon(1, 12);
  return timeOfCare(duty, duty.kind, ward, chance);
}

function timeOfCare(
  duty: Duty,
  kind: keyof typeof inventedYear.onTime,
  { now, ward }: InventedWard,
  chance: Chance,
): number {
  const graceEnds = duty.dueAt + graceOf(ward.policy, kind).nurse * minuteMs;
  const from = Math.max(now + minuteMs / 2, duty.earliestAt, duty.dueAt - 15 * minuteMs);
  const by = graceEnds - minuteMs / 2;
  if (chance.happens(inventedYear.onTime[kind]) && from < by) return chance.between(from, by);
  const lateMs = chance.exponential(kind === 'pulseNextDay' ? 40 : 10) * minuteMs;
  return Math.max(graceEnds, now) + minuteMs / 2 + lateMs;
}
