import type { JobDeps } from './app-deps.ts';
import { wakeWard } from './wake-ward.ts';

/**
 * Whether a ward owes nothing but something of its own calendar: a handover above all. A thousand wards share their shift times, and
 * foretelling a shift takes long, so at that instant whatever is due of a line goes first, on whichever ward it is.
 */
export async function isOnlyCalendarDue(
  { record, clock }: Pick<JobDeps, 'record' | 'clock'>,
  wardId: string,
): Promise<boolean> {
  const due = await record.dueNow(wardId, clock.now());
  return due.length > 0 && due.every((member) => member === 'ward');
}

/**
 * A wake-up: looks at the ward now, or behind what is more urgent. Where a process dies before it came to that, the next sweep finds
 * the ward.
 */
export async function wakeInTurn(deps: JobDeps, wardId: string): Promise<void> {
  await deps.pace?.turn('reminder');
  if (deps.behind && (await isOnlyCalendarDue(deps, wardId))) deps.behind.calendars.ask(wardId);
  else await wakeWard(deps, wardId);
}

/** The ward's turn has come; where somebody looked meanwhile there is nothing to do. */
export async function wakeBehind(deps: JobDeps, wardId: string): Promise<void> {
  if ((await deps.record.dueNow(wardId, deps.clock.now())).length > 0)
    await wakeWard(deps, wardId, 'handover');
}
