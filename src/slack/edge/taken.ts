import type { SlackBot } from '../slack-bot.ts';

/** What every way in works with, once a request is in. */
export interface Taken {
  /** The bot as a workspace has it; null where the app is not installed there. Where there is one workspace, always that one's. */
  botOf: (team: string | undefined) => Promise<SlackBot | null>;
  /** The slash command with its slash. */
  command: string;
  /** Hears that the app was taken out of a workspace or organisation, or its token revoked; absent where the operator sets the token. */
  takenOut?: (id: string) => Promise<void>;
  /** Acknowledges, and notes how long that took. */
  timed: (ack: () => Promise<void>) => Promise<void>;
  /** Work that goes on after the acknowledgement; a stop waits for it. */
  goOn: (work: Promise<void>) => Promise<void>;
  /** Seconds from a request's arrival to its acknowledgement, for the metrics. */
  acked: (seconds: number) => void;
  trouble: (what: string, ids: Record<string, string | number>, cause?: unknown) => void;
}
