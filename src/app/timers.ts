/** Where wake-ups stand in the job queue's own keys: one slot of their own, also on a cluster. */
export const timerPrefix = '{timer}';
/** Queue of wake-ups: wards at an instant, and the canary. */
export const wakeQueue = 'wake';
/** Queue of wards whose messages wait. */
export const postQueue = 'post';
/** Queue of wards whose handovers wait: apart, since a thousand wards hand over at once and a nudge must not be called for after them. */
export const handoverQueue = 'handover';
/** Name of the wake-up that is set only to see it arrive. */
export const canaryJob = 'canary';
