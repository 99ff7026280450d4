/** Why an entry that was taken back counts no more, as the record has it. */
export const takenBackReason = 'taken back by whoever told it';

/** The same of a line that was registered and taken back. */
export const takenBackAtOnce = 'taken back at once';
