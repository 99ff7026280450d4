/** Where a workspace has no bot. */
export const notInstalled =
  'Nothing was recorded: I’m not installed in this workspace, or not any more. Ask whoever runs the bot for the address to install it from.';

/** To a command from a workspace that isn't this bot's. */
export const otherWorkspace = 'This bot belongs to another workspace. Nothing was done.';

/** To a command by another name. */
export const answersTo = (command: string) =>
  `Nothing was recorded: I answer to ${command} here. Type that instead.`;

/** To a button that an older or newer version made. */
export const unreadableButton =
  'I can’t read this button, so nothing was recorded. It may be of another version: use the newest card or message of the line, or type /artline.';

/** Below a message that holds more than a platform shows. */
export const moreThanFits = 'More than fits one message: /artline due shows the rest.';

/** Of a message that only tries whether a channel takes one; nobody is meant to see it. */
export const onlyTried = 'This is taken back at once.';
