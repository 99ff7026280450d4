import { lineWakeAt, wardWakeAt } from '../domain/ladder/plan-wake.ts';
import { visitsHeldUntil } from '../domain/rounds/visit-gap.ts';
import type { JobDeps } from './app-deps.ts';
import type { WardView } from './ports.ts';
import { wakeWard } from './wake-ward.ts';

/** How a sweep is done: `deep` also checks every ward's wake index against its record. */
export interface Sweep {
  deep: boolean;
}

/**
 * Finds what every other part forgot: wards with something past due, wake-ups that were lost. It needs nothing but the
 * record; the alarm's whole memory may be gone. It sends nothing: a chat platform that hangs must not hold up the next
 * sweep.
 */
export async function sweepWards(deps: JobDeps, { deep }: Sweep): Promise<void> {
  const { record, clock, alarm, watch } = deps;
  const wardIds = await record.wardIds();
  for (const wardId of wardIds) {
    try {
      if (deep) await repair(deps, wardId);
      const next = await record.nextWake(wardId);
      if (next !== null && next <= clock.now()) await wakeWard(deps, wardId);
      else if (next !== null) await alarm.wakeAt(wardId, next);
    } catch (cause) {
      // One ward's trouble must not keep the sweep from the others.
      watch.trouble('the sweep could not finish a ward', { wardId }, cause);
    }
  }
}

async function repair({ record, clock, watch }: JobDeps, wardId: string): Promise<void> {
  const view = await record.readWard(wardId);
  const repaired = await record.repairWakes(wardId, wakesOf(view, clock.now()));
  if (repaired > 0) watch.repaired(repaired);
}

/** Every wake-up a ward should have on its index, from the record alone. */
export function wakesOf({ ward, lines }: WardView, now: number): Record<string, number> {
  const held = visitsHeldUntil(ward, lines, now);
  const wakes: Record<string, number> = {};
  const set = (member: string, at: number | null) => {
    if (at !== null) wakes[member] = at;
  };
  set('ward', wardWakeAt(ward, lines, now));
  for (const line of lines) set(line.id, lineWakeAt(line, ward, now, held.get(line.id)));
  return wakes;
}
