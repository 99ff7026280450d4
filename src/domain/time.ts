/** Milliseconds in a minute, and in an hour. */
export const minuteMs = 60_000;
/** Milliseconds in an hour. */
export const hourMs = 60 * minuteMs;
/** Milliseconds in a calendar day whose clocks nobody changes: 86,400,000. */
export const dayMs = 24 * hourMs;
