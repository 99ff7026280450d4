import type { SlackBot } from '../slack-bot.ts';

/** What every way in works with, once a request is in. */
export interface Taken {
  bot: SlackBot;
  /** Acknowledges, and notes how long that took. */
  timed: (ack: () => Promise<void>) => Promise<void>;
  /** Work that goes on after the acknowledgement; a stop waits for it. */
  goOn: (work: Promise<void>) => Promise<void>;
  /** Seconds from a request's arrival to its acknowledgement, for the metrics. */
  acked: (seconds: number) => void;
  trouble: (what: string, ids: Record<string, string | number>, cause?: unknown) => void;
}
