/** Where wake-ups stand in the job queue's own keys: one slot of their own, also on a cluster. */
export const timerPrefix = '{timer}';
/** Queue of wake-ups: wards at an instant, and the canary. */
export const wakeQueue = 'wake';
/** Queue of wards whose messages wait. */
export const postQueue = 'post';
/** Name of the wake-up that is set only to see it arrive. */
export const canaryJob = 'canary';
