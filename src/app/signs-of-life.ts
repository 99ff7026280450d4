import type { Beat } from './notice-downtime.ts';

/** A sign of life that outlives who left it: of the chat or of the jobs. */
export interface SignOfLife {
  /** The last one; null when there never was one. */
  last(): Promise<Beat | null>;
  beat(now: Beat): Promise<void>;
}

/** Silence longer than this was an outage: several sweeps long, ms of real time. */
export const silenceMs = 2 * 60_000;

/**
 * How long the jobs have been silent, real ms; null while they live. `sinceMs`: since when somebody has been listening, for
 * jobs that were never heard.
 */
export async function jobsSilentMs(
  heartbeat: Pick<SignOfLife, 'last'>,
  { nowMs, sinceMs }: { nowMs: number; sinceMs: number },
): Promise<number | null> {
  const silentMs = nowMs - ((await heartbeat.last())?.realMs ?? sinceMs);
  return silentMs > silenceMs ? silentMs : null;
}
