/** In a blank of a form in which nothing is chosen yet. */
export const blank = { one: 'Choose one', person: 'Choose a person', people: 'Choose people' } as const;

/** Behind the label of what need not be filled in, where a platform doesn't say so itself. */
export const mayBeEmpty = ' (may be left empty)';
