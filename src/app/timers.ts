import { numberOf } from './number-of.ts';

/** Begins every key of the job queue: one hash tag, so one slot. */
export const timerPrefix = '{timer}';
/**
 * On a cluster the queue's keys lie in six slots, one in each sixth of the slots: two on each of three masters, one on each of six.
 * The first is the only one that older programs know: what they put there is still found.
 */
export const clusterTimerPrefixes: readonly string[] = [
  timerPrefix,
  '{timer3}',
  '{timer6}',
  '{timer51}',
  '{timer33}',
  '{timer8}',
];

/** Where a ward's jobs stand: under the same of these prefixes in every process. */
export function timerPrefixOf(wardId: string, prefixes: readonly string[]): string {
  return prefixes[numberOf(wardId) % prefixes.length] ?? timerPrefix;
}

/** Queue of wake-ups: wards at an instant, and the canary. */
export const wakeQueue = 'wake';
/** Queue of wards whose messages wait. */
export const postQueue = 'post';
/** Queue of wards whose handovers wait: apart, since a thousand wards hand over at once and a nudge must not be called for after them. */
export const handoverQueue = 'handover';
/** Name of the wake-up that is set only to see it arrive. */
export const canaryJob = 'canary';
