import { RecordUnavailable } from '../../app/record-unavailable.ts';
import { failedWords, unavailableInForm } from '../../chat/guard.ts';
import type { SlackBot } from '../slack-bot.ts';
import type { Taken } from './taken.ts';

const notInstalled =
  'Nothing was recorded: I’m not installed in this workspace, or not any more. Ask whoever runs the bot for the address to install it from.';

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
