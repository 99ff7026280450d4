import { wallClock } from '../../domain/shifts/wall-clock.ts';

/** What the platform says in the bot's place. It goes out with no metadata: the platform would not post it with any. */
export function lastWordText(nowMs: number, zone: string): string {
  return (
    `REMINDERS MAY BE DOWN. The bot was last heard at ${wallClock(zone, nowMs)}. Nobody is being reminded of flushes, zeroing, site checks, ` +
    'dressings or dwell limits, and nothing overdue goes to the clinician on call. Work from the last handover and the clock, on paper, until the bot says it is back.'
  );
}
