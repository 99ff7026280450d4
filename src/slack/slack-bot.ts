import type { WebClient } from '@slack/web-api';
import type { Bot } from '../chat/bot.ts';

/** The bot as the edge has it: with the platform's own client, which no listener sees. */
export interface SlackBot extends Bot {
  client: WebClient;
}
