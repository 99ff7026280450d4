import { RecordUnavailable } from '../app/record-unavailable.ts';
import { RecordShrunk } from '../app/unshrinking-record.ts';
import type { Caller } from './bot.ts';

/** Said when the record cannot be reached. Nothing is promised that was not done. */
const unreachableWords =
  'Not recorded: I can’t reach the record right now. Everything recorded before is safe. Do what’s due, write it on paper, and try again in a minute.';

/** Said when a change was on its way to the record and no answer came: it may be written all the same. */
const unclearWords =
  'I can’t tell whether that was recorded: the record didn’t answer in time. Check the card in a minute; if it isn’t there, record it again.';

/** The same beside a form, which is written once however often it is pressed. */
export const pressAgainWords =
  'I can’t tell whether that was recorded: the record didn’t answer in time. Press again in a minute; it’ll only count once.';

/** What is true to say in a form when the record could not be reached. */
export function unavailableInForm(error: RecordUnavailable): string {
  if (error instanceof RecordShrunk) return shrunkWords;
  const { mayBeWritten } = error;
  return mayBeWritten ? pressAgainWords : unreachableWords;
}

function unavailableWords(error: RecordUnavailable): string {
  if (error instanceof RecordShrunk) return shrunkWords;
  const { mayBeWritten } = error;
  return mayBeWritten ? unclearWords : unreachableWords;
}

/** Said when a server's death took entries back. */
const shrunkWords =
  'Not recorded: a server failed and the record has lost its last entries. The channel will say which. Write this on paper, and try again in a minute.';

/** Said when something else failed. */
export const failedWords =
  'That didn’t work, and it may not be recorded. Check the card; if it isn’t there, record it again.';

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
