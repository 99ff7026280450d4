import { RecordUnavailable } from '../app/record-unavailable.ts';
import type { Caller } from './bot.ts';

/** Said when the record cannot be reached. Nothing is promised that was not done. */
const unreachableWords =
  'Not recorded: the record cannot be reached right now. What was told before is safe. Do what is due, and tell it again in a minute; write it on paper until then.';

/** Said when a change was on its way to the record and no answer came: it may be written all the same. */
const unclearWords =
  'It is not known whether this is recorded: the record did not answer in time. Look at the card in a minute, and tell it again if it is not there.';

/** The same beside a form, which is written once however often it is pressed. */
export const pressAgainWords =
  'It is not known whether this is recorded: the record did not answer in time. Press again in a minute; it will stand once.';

/** What is true to say in a form when the record could not be reached. */
export function unavailableInForm({ mayBeWritten }: RecordUnavailable): string {
  return mayBeWritten ? pressAgainWords : unreachableWords;
}

function unavailableWords({ mayBeWritten }: RecordUnavailable): string {
  return mayBeWritten ? unclearWords : unreachableWords;
}

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
      await caller.say(error instanceof RecordUnavailable ? unavailableWords(error) : failedWords);
    } catch (cause) {
      trouble('a person could not be answered', cause);
    }
  }
}
