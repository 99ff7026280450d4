/**
 * Days after an animal's last line came out from which a line of its name begins a new stay, where a ward did not set its
 * own and nobody was asked. Common practice, no source.
 */
export const usualGapDays = 7;

/** The most a ward may set; after it a stay is over on every ward. */
export const longestGapDays = 30;
