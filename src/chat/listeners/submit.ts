import { within } from '../../app/clock.ts';
import { RecordUnavailable } from '../../app/record-unavailable.ts';
import type { Bot, Caller } from '../bot.ts';
import { type FormAnswer, type Sent } from '../form.ts';
import { pressAgainWords, unavailableInForm } from '../guard.ts';
import { type Result } from './form-result.ts';
import { takeForm } from './take-form.ts';

/** How long a form waits for the record before it answers without it, ms: within the platform's 3 s. */
export const answerWithinMs = 2_200;

/**
 * Takes a submitted form. It is answered within the platform's 3 s whatever the record does: with the record's own
 * verdict where that comes in time, else with a sentence that keeps the form and what was typed in it. Pressed again,
 * the same form is written once.
 */
export async function onSubmit(
  bot: Bot,
  caller: Caller,
  sent: Sent,
  answer: (response: FormAnswer) => Promise<boolean>,
  refused: () => Promise<string | null>,
): Promise<void> {
  const work = (async (): Promise<Result> => {
    const refusal = await refused();
    if (refusal !== null) return { is: 'wrong as a whole', message: refusal };
    return takeForm(bot, caller, sent);
  })();
  let result: Result | null;
  try {
    result = await within(answerWithinMs, work);
  } catch (error) {
    if (!(error instanceof RecordUnavailable)) throw error;
    result = { is: 'wrong as a whole', message: unavailableInForm(error) };
  }
  if (result === null) {
    await answer(whole(sent, pressAgainWords));
    return;
  }
  switch (result.is) {
    case 'wrong':
      await answer({ is: 'errors', errors: result.errors });
      return;
    case 'wrong as a whole':
      await answer(whole(sent, result.message));
      return;
    case 'next':
      await answer({ is: result.where === 'on top' ? 'push' : 'replace', form: result.form });
      return;
    case 'done':
      await answer({ is: 'close' });
      await result.afterwards();
  }
}

/** A sentence about the form as a whole stands at its first input, where the platform can show it. */
function whole({ asked: [first] }: Sent, message: string): FormAnswer {
  return first === undefined ? { is: 'close' } : { is: 'errors', errors: { [first]: message } };
}
