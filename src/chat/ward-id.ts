/** A ward is one channel of one workspace: `T01.C0123`. */
export function wardIdOf(team: string, channel: string): string {
  return `${team}.${channel}`;
}

/** The channel of a ward. */
export function channelOf(wardId: string): string {
  return wardId.split('.')[1] ?? '';
}

/** The workspace of a ward. */
export function teamOf(wardId: string): string {
  return wardId.split('.')[0] ?? '';
}
