import { owedLines } from '../domain/duties/duties-of-line.ts';
import type { JobDeps } from './app-deps.ts';

/**
 * A message that waits in the chat platform's own scheduler and says that reminders may be down. It is pushed ahead
 * while the bot lives; when the bot is dead, the platform speaks.
 */
export interface LastWord {
  /** Leaves the ward exactly one such message, to be posted at `atMs` (ward time). */
  leave(wardId: string, atMs: number, nowMs: number, zone: string): Promise<void>;
  /** Takes it back: the ward has no lines to be reminded of. */
  takeBack(wardId: string): Promise<void>;
}

/** How long after the bot's last sign of life the platform speaks, ms of real time. */
export const lastWordAfterMs = 15 * 60_000;

type WordDeps = Pick<JobDeps, 'record' | 'clock' | 'watch'>;

/** Pushes the message ahead on every ward with lines, and takes it back where there are none any more. */
export async function pushLastWords(deps: WordDeps, lastWord: LastWord, rate: number): Promise<void> {
  for (const wardId of await deps.record.wardIds()) await pushLastWord(deps, lastWord, wardId, rate);
}

/** The same on one ward: whether the message waits now, was taken back, or the platform did not take it. */
export async function pushLastWord(
  { record, clock, watch }: WordDeps,
  lastWord: LastWord,
  wardId: string,
  rate: number,
): Promise<'left' | 'taken back' | 'failed'> {
  try {
    const { ward, lines } = await record.readWard(wardId);
    const now = clock.now();
    // Nothing can be left there, and those who can be told are: see `channel-shut.ts`.
    if (ward.channelShut) return 'failed';
    if (owedLines(lines, ward.policy, now).length === 0) {
      await lastWord.takeBack(wardId);
      return 'taken back';
    }
    await lastWord.leave(wardId, now + lastWordAfterMs * rate, now, ward.policy.shifts.zone);
    return 'left';
  } catch (cause) {
    // The platform being away is what this message is for: the one left before still stands.
    watch.trouble(
      'the message that speaks when the bot is dead could not be pushed ahead',
      { wardId },
      cause,
    );
    return 'failed';
  }
}
