/** What stands on one person's Home. */
export interface HomeShown {
  /** Tells whether it is still the same. */
  hash: string;
  /** What was last answered there, as the chat draws it, until when it stands (real ms). */
  said?: { text: string; blocks: unknown[]; untilMs: number };
}

/**
 * Who opened the bot's Home lately and what stands there, in real time (ms). A cache: where it is lost, a Home stands as it
 * was until its reader opens it again.
 */
export interface HomeReaders {
  /** Remembers that somebody opened it; kept for half a day. */
  opened(user: string, realNow: number): Promise<void>;
  /** Those who opened it in the last half day. */
  lately(realNow: number): Promise<string[]>;
  shown(user: string): Promise<HomeShown | null>;
  keep(user: string, shown: HomeShown): Promise<void>;
}
