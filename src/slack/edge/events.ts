import type { App } from '@slack/bolt';
import type { Taken } from './taken.ts';

/** What the platform tells by itself. */
export function takeEvents(app: App, { bot, goOn, trouble }: Taken): void {
  app.event('app_home_opened', async ({ event, body }) => {
    if (event.tab !== 'home' || body.team_id !== bot.team) return;
    const { user } = event;
    const opened = bot.homes
      .open(user)
      .catch((cause: unknown) => trouble('a Home could not be shown', { user }, cause));
    await goOn(opened);
  });
}
