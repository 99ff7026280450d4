import { lineWakeAt, wardWakeAt } from '../domain/ladder/plan-wake.ts';
import { visitsHeldUntil } from '../domain/rounds/visit-gap.ts';
import type { JobDeps } from './app-deps.ts';
import { forEachOf } from './few-at-once.ts';
import type { WardView } from './ports.ts';
import { isOnlyCalendarDue, wakeBehind } from './wake-in-turn.ts';
import { wakeWard } from './wake-ward.ts';

/** How a sweep is done. */
export interface Sweep {
  /**
   * Which wards' wake indexes are also checked against their records, the dear part of it: all, none, or those chosen of all
   * that there are.
   */
  deep: boolean | ((wardIds: readonly string[]) => Promise<readonly string[]>);
  /**
   * A wake-up further ahead than this is not set by this sweep, ward ms: a later sweep does. Each that is set is written to disk,
   * and almost all of them were set before. None is left out where it is absent.
   */
  setAheadMs?: number;
  /** Hears of each ward that was looked at. */
  progress?: () => void;
}

/** Wards looked at together: each waits for Redis most of its time. */
const wardsAtOnce = 50;

/**
 * Finds what every other part forgot: wards with something past due, wake-ups that were lost. It needs nothing but the
 * record; the alarm's whole memory may be gone. It sends nothing: a chat platform that hangs must not hold up the next
 * sweep.
 */
export async function sweepWards(
  deps: JobDeps,
  { deep, setAheadMs = Number.POSITIVE_INFINITY, progress }: Sweep,
): Promise<void> {
  const { record, clock, alarm, watch } = deps;
  const wardIds = await record.wardIds();
  const each = (some: readonly string[], work: (wardId: string) => Promise<void>) =>
    forEachOf(some, wardsAtOnce, async (wardId) => {
      // One ward's trouble must not keep the sweep from the others.
      await work(wardId).catch((cause: unknown) =>
        watch.trouble('the sweep could not finish a ward', { wardId }, cause),
      );
      progress?.();
    });
  const calendars: string[] = [];
  const look = async (wardId: string) => {
    const next = await record.nextWake(wardId);
    if (next !== null && next <= clock.now()) {
      if (!(await isOnlyCalendarDue(deps, wardId))) await wakeWard(deps, wardId);
      // One that is in line already is looked at when its turn comes.
      else if (!deps.behind?.calendars.has(wardId)) calendars.push(wardId);
    } else if (next !== null && next <= clock.now() + setAheadMs) await alarm.wakeAt(wardId, next);
  };
  const lookAtCalendars = () => each(calendars.splice(0), (wardId) => wakeBehind(deps, wardId));
  // What is past due anywhere goes before what takes long.
  await each(wardIds, look);
  await lookAtCalendars();
  const checked = typeof deep === 'function' ? await deep(wardIds) : deep ? wardIds : [];
  await each(checked, async (wardId) => {
    // As of an instant at which nothing is due: what time alone brings has no wake-up any more once it has passed, and one that
    // fell due meanwhile would be taken off the index before anybody has looked.
    const now = clock.now();
    const next = await record.nextWake(wardId);
    if (next !== null && next <= now) return look(wardId);
    if ((await repair(deps, wardId, now)) > 0) await look(wardId);
  });
  // What a repair brought to light.
  await lookAtCalendars();
}

/** Sets a ward's wake index right, as of `now`; says how many wake-ups were not. */
async function repair({ record, watch, pace }: JobDeps, wardId: string, now: number): Promise<number> {
  await pace?.turn('check');
  const view = await record.readWard(wardId);
  await pace?.turn('check');
  const repaired = await record.repairWakes(wardId, wakesOf(view, now));
  if (repaired > 0) watch.repaired(repaired);
  return repaired;
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
