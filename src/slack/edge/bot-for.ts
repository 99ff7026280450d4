import { RecordUnavailable } from '../../app/record-unavailable.ts';
import { failedWords, unavailableInForm } from '../../chat/guard.ts';
import { notInstalled } from '../../wording/edge/refused.ts';
import type { SlackBot } from '../slack-bot.ts';
import type { Taken } from './taken.ts';

/** The bot of a workspace. Where there is none, or none can be had now, the person is told so and nothing is done. */
export async function botFor(
  { botOf, trouble }: Pick<Taken, 'botOf' | 'trouble'>,
  team: string | undefined,
  say: (text: string) => Promise<unknown>,
): Promise<SlackBot | null> {
  let words = notInstalled;
  try {
    const bot = await botOf(team);
    if (bot) return bot;
  } catch (cause) {
    words = cause instanceof RecordUnavailable ? unavailableInForm(cause) : failedWords;
    if (!(cause instanceof RecordUnavailable))
      trouble('the bot of a workspace could not be had', { team: team ?? '' }, cause);
  }
  await say(words).catch((cause: unknown) =>
    trouble('a person could not be answered', { team: team ?? '' }, cause),
  );
  return null;
}
