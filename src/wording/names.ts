/** Names of people as they are shown. Naming somebody this way notifies nobody. */
export interface Names {
  /** The display name; a mention, which is rich text, when the platform does not tell. */
  of(user: string): Promise<string>;
}

/** What the bot is called where it wrote something itself. */
export const theBot = 'the bot';
