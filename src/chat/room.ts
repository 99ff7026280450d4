/**
 * How much fits, in UTF-16 units and numbers: the least of what the platforms we know of take, and bounds of our own. What is
 * longer a renderer cuts; these are for words and values that must not be cut. `tests/slack/render` holds them to Slack's limits.
 */
export const room = {
  buttonText: 75,
  /** What a button carries. */
  buttonValue: 2_000,
  /** What a form carries to its own answer. */
  formMeta: 3_000,
  formTitle: 24,
  formParts: 100,
  /** Choices of one question, and of one in which several are ticked in sight. */
  choices: 100,
  ticks: 10,
  choiceLabel: 75,
  hint: 2_000,
  /** Lines whose entries one button takes back. */
  takenBack: 60,
  /** Duties that one button marks done. */
  doneTogether: 60,
  /** Characters of what was typed that a button does once it is said what was meant. */
  typedAgain: 300,
  /** Characters in which a number with its unit is looked for. */
  typedNumber: 150,
} as const;
