import type { WebClient } from '@slack/web-api';

/** The channel of the direct messages between the bot and a person, opened where there is none yet. */
export async function directChannel(client: WebClient, user: string): Promise<string> {
  const opened = await client.conversations.open({ users: user });
  return opened.channel?.id ?? user;
}
