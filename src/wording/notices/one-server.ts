/** What every answer begins with while no replica has what is recorded. */
export const oneServerWords =
  'What’s recorded now is on one server only: its copy doesn’t answer. Note it on paper too, and tell whoever looks after the bot.';
