/** Milliseconds in a calendar day whose clocks nobody changes: 86,400,000. */
export const dayMs = 86_400_000;
