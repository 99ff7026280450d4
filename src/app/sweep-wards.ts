import { lineWakeAt, nudgeHeldUntil, wardWakeAt } from '../domain/ladder/plan-wake.ts';
import type { JobDeps } from './app-deps.ts';
import { deliverPosts } from './deliver-posts.ts';
import type { WardView } from './ports.ts';
import { wakeWard } from './wake-ward.ts';

/** How a sweep is done: `deep` also checks every ward's wake index against its record. */
export interface Sweep {
  deep: boolean;
}

/**
 * Finds what every other part forgot: wards with something past due, messages still waiting, wake-ups that were lost.
 * It needs nothing but the record; the alarm's whole memory may be gone.
 */
export async function sweepWards(deps: JobDeps, { deep }: Sweep): Promise<void> {
  const { record, clock, alarm, watch } = deps;
  const wardIds = await record.wardIds();
  const inEach = async (work: (wardId: string) => Promise<void>) => {
    for (const wardId of wardIds) {
      try {
        await work(wardId);
      } catch (cause) {
        // One ward's trouble must not keep the sweep from the others.
        watch.trouble('the sweep could not finish a ward', { wardId }, cause);
      }
    }
  };
  // What is due on every ward comes before any message: a chat platform that is slow to answer holds messages up.
  await inEach(async (wardId) => {
    if (deep) await repair(deps, wardId);
    const next = await record.nextWake(wardId);
    if (next !== null && next <= clock.now()) await wakeWard(deps, wardId);
    else if (next !== null) await alarm.wakeAt(wardId, next);
  });
  await inEach((wardId) => deliverPosts(deps, wardId));
}

async function repair({ record, clock, watch }: JobDeps, wardId: string): Promise<void> {
  const view = await record.readWard(wardId);
  const repaired = await record.repairWakes(wardId, wakesOf(view, clock.now()));
  if (repaired > 0) watch.repaired(repaired);
}

/** Every wake-up a ward should have on its index, from the record alone. */
export function wakesOf({ ward, lines }: WardView, now: number): Record<string, number> {
  const held = nudgeHeldUntil(ward, lines);
  const wakes: Record<string, number> = {};
  const set = (member: string, at: number | null) => {
    if (at !== null) wakes[member] = at;
  };
  set('ward', wardWakeAt(ward, lines, now));
  for (const line of lines) set(line.id, lineWakeAt(line, ward, now, held));
  return wakes;
}
