import type { App } from '@slack/bolt';
import { offerSetUp } from '../../app/set-up-ward.ts';
import { wardIdOf } from '../../chat/ward-id.ts';
import { takeMessages } from './messages.ts';
import type { Taken } from './taken.ts';

/** What may mean that a channel can be posted in no more, or again; what is so is asked of the platform then. */
const ofAChannel = [
  'channel_archive',
  'channel_unarchive',
  'channel_deleted',
  'channel_left',
  'group_archive',
  'group_unarchive',
  'group_deleted',
  'group_left',
] as const;
const ofAMember = ['member_joined_channel', 'member_left_channel'] as const;
const ofTheApp = ['app_uninstalled', 'tokens_revoked'] as const;

/** Every event that is listened to; an app's manifest subscribes to these (docs/deploy/manifest.yaml). */
export const eventsHeard = [
  'app_home_opened',
  'message.im',
  'app_mention',
  ...ofAChannel,
  ...ofAMember,
  ...ofTheApp,
] as const;

/** What the platform tells by itself. */
export function takeEvents(app: App, taken: Taken): void {
  const { bot, goOn, trouble } = taken;
  takeMessages(app, taken);
  app.event('app_home_opened', async ({ event, body }) => {
    if (event.tab !== 'home' || body.team_id !== bot.team) return;
    const { user } = event;
    const opened = bot.homes
      .open(user)
      .catch((cause: unknown) => trouble('a Home could not be shown', { user }, cause));
    await goOn(opened);
  });

  const lookAt = (team: string, channel: string) =>
    team === bot.team
      ? goOn(
          bot
            .lookAtChannel(wardIdOf(team, channel))
            .catch((cause: unknown) => trouble('a channel could not be looked at', { channel }, cause)),
        )
      : undefined;
  const offer = (wardId: string, eventId: string) =>
    goOn(
      offerSetUp(bot.deps, wardId, `joined.${eventId}`).then(
        () => undefined,
        (cause: unknown) => trouble('a new ward could not be offered to be set up', { wardId }, cause),
      ),
    );
  for (const what of ofAChannel)
    app.event(what, async ({ event, body }) => lookAt(body.team_id, event.channel));
  for (const what of ofAMember)
    app.event(what, async ({ event, body }) => {
      if (event.user !== bot.userId) return;
      await lookAt(body.team_id, event.channel);
      if (what === 'member_joined_channel' && body.team_id === bot.team)
        await offer(wardIdOf(body.team_id, event.channel), body.event_id);
    });
  // Nothing can be said to anybody from here on: the operator is told, and readiness fails.
  for (const what of ofTheApp)
    app.event(what, async ({ body }) => {
      if (body.team_id === bot.team)
        trouble(
          'the app was uninstalled or its token revoked: install it anew, then start the bot with the new token',
          {},
        );
    });
}
