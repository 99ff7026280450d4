import { RecordUnavailable } from '../app/record-unavailable.ts';
import type { Caller } from './bot.ts';

/** Said when the record cannot be reached. Nothing is promised that was not done. */
export const unreachableWords =
  'Not recorded: the record cannot be reached right now. What was told before is safe. Do what is due, and tell it again in a minute; write it on paper until then.';

/** Said when something else failed. */
export const failedWords =
  'That did not work, and nothing is known to be recorded. Look at the card, and tell it again if it is not there.';

/**
 * Runs a listener's work after its ack. Whatever fails, the person hears a sentence and the operator a cause; nothing
 * is thrown at the framework.
 */
export async function guarded(
  work: () => Promise<void>,
  caller: Pick<Caller, 'say'>,
  trouble: (what: string, cause: unknown) => void,
): Promise<void> {
  try {
    await work();
  } catch (error) {
    if (!(error instanceof RecordUnavailable)) trouble('a listener failed', error);
    try {
      await caller.say(error instanceof RecordUnavailable ? unreachableWords : failedWords);
    } catch (cause) {
      trouble('a person could not be answered', cause);
    }
  }
}
