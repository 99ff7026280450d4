/**
 * The platform's limits that we must keep, in UTF-16 units where they count text.
 * Source: Slack Block Kit reference and method pages at docs.slack.dev; where two pages differ, the smaller.
 */
export const limits = {
  sectionText: 3000,
  headerText: 150,
  contextElements: 10,
  buttonText: 75,
  buttonValue: 2000,
  optionText: 75,
  optionValue: 75,
  selectOptions: 100,
  optionGroups: 100,
  groupLabel: 75,
  choiceOptions: 10,
  placeholder: 150,
  label: 2000,
  hint: 2000,
  typedText: 3000,
  modalTitle: 24,
  modalButton: 24,
  modalBlocks: 100,
  privateMetadata: 3000,
  /** Top-level text of a message that is brought up to date (chat.update). */
  messageText: 4000,
  messageBlocks: 50,
  /** Characters of the JSON of a message's blocks: github slackapi/bolt-js 2509. */
  messageJson: 13_200,
} as const;
