/** Names as they are shown. Naming somebody this way notifies nobody. */
export interface Names {
  /** The display name; a mention, which is rich text, when the platform does not tell. */
  of(user: string): Promise<string>;
  /** What a ward is called, where there are several and its name is known; null, or absent, elsewhere. */
  ward?(wardId: string): Promise<string | null>;
}

/** What the bot is called where it wrote something itself. */
export const theBot = 'the bot';
