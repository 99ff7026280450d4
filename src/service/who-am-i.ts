import type { WebClient } from '@slack/web-api';
import type { Log } from '../observe/log.ts';

const askTeamAgainMs = 2_000;

/** Which workspace and bot user the token belongs to. A platform that is away at start is waited for; a bad token is not. */
export async function askWhoIAm(client: WebClient, log: Log): Promise<{ team: string; userId: string }> {
  for (;;) {
    try {
      const { team_id: team, user_id: userId } = await client.auth.test();
      if (team && userId) return { team, userId };
      throw new Error('the chat platform did not say which workspace the token belongs to');
    } catch (error) {
      const code = (error as { data?: { error?: string } }).data?.error;
      if (code)
        throw new Error(
          `The chat platform refuses SLACK_BOT_TOKEN (${code}). Install the app anew and set the token it shows.`,
          { cause: error },
        );
      log.warn({ err: error }, 'the chat platform does not answer yet; asking again');
      await new Promise((resolve) => setTimeout(resolve, askTeamAgainMs));
    }
  }
}
