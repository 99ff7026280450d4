import type { App } from '@slack/bolt';
import { offerSetUp } from '../../app/set-up-ward.ts';
import type { Bot } from '../../chat/bot.ts';
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

/** A channel has another id; that is kept before it is acknowledged (`withWardsChannels`). */
const ofAnId = 'channel_id_changed';

/** Every event that is listened to; an app's manifest subscribes to these (docs/deploy/manifest.yaml). */
export const eventsHeard = [
  'app_home_opened',
  'message.im',
  'app_mention',
  ...ofAChannel,
  ...ofAMember,
  ofAnId,
  ...ofTheApp,
] as const;

/** What the platform tells by itself. */
export function takeEvents(app: App, taken: Taken): void {
  takeMessages(app, taken);
  takeHome(app, taken);
  takeChannels(app, taken);
  takeUninstalled(app, taken);
}

/** The bot of the workspace that an event is of; null where it is none of ours. */
async function ours({ botOf }: Taken, { team_id: team }: { team_id: string }): Promise<Bot | null> {
  const bot = await botOf(team);
  return bot?.team === team ? bot : null;
}

function takeHome(app: App, taken: Taken): void {
  app.event('app_home_opened', async ({ event, body }) => {
    const bot = event.tab === 'home' ? await ours(taken, body) : null;
    if (!bot) return;
    const { user } = event;
    const opened = bot.homes
      .open(user)
      .catch((cause: unknown) => taken.trouble('a Home could not be shown', { user }, cause));
    await taken.goOn(opened);
  });
}

/** A channel that may have been shut, opened or given another id, and the bot invited to one or taken out of it. */
function takeChannels(app: App, taken: Taken): void {
  const { goOn, trouble } = taken;
  const lookAt = (bot: Bot, channel: string) =>
    goOn(
      bot
        .lookAtChannel(wardIdOf(bot.team, channel))
        .catch((cause: unknown) => trouble('a channel could not be looked at', { channel }, cause)),
    );
  for (const what of ofAChannel)
    app.event(what, async ({ event, body }) => {
      const bot = await ours(taken, body);
      if (bot) await lookAt(bot, event.channel);
    });
  for (const what of ofAMember)
    app.event(what, async ({ event, body }) => {
      const bot = await ours(taken, body);
      if (!bot || event.user !== bot.userId) return;
      await lookAt(bot, event.channel);
      if (what === 'member_joined_channel') await offer(bot, taken, event.channel, body.event_id);
    });
  app.event(ofAnId, async ({ event, body }) => {
    const bot = await ours(taken, body);
    if (!bot) return;
    const wardId = wardIdOf(bot.team, event.old_channel_id);
    const looked = bot
      .channelChanged(wardId)
      .catch((cause: unknown) =>
        trouble('a channel with another id could not be looked at', { wardId }, cause),
      );
    await goOn(looked);
  });
}

/** Offers a channel that the bot was invited to the form that makes it a ward. */
function offer(bot: Bot, { goOn, trouble }: Taken, channel: string, eventId: string): Promise<void> {
  const wardId = wardIdOf(bot.team, channel);
  return goOn(
    offerSetUp(bot.deps, wardId, `joined.${eventId}`).then(
      () => undefined,
      (cause: unknown) => trouble('a new ward could not be offered to be set up', { wardId }, cause),
    ),
  );
}

function takeUninstalled(app: App, taken: Taken): void {
  const { takenOut, goOn, trouble } = taken;
  for (const what of ofTheApp)
    app.event(what, async ({ body }) => {
      if (takenOut) {
        await goOn(takenOut(installedIn(body)));
        return;
      }
      // Nothing can be said to anybody from here on: the operator is told, and readiness fails.
      if (await ours(taken, body))
        trouble(
          'the app was uninstalled or its token revoked: install it anew, then start the bot with the new token',
          {},
        );
    });
}

/** The workspace, or the organisation, of whose installation an event tells. */
function installedIn(body: {
  team_id: string;
  enterprise_id?: string;
  authorizations?: { enterprise_id: string | null; is_enterprise_install?: boolean }[];
}): string {
  const [first] = body.authorizations ?? [];
  const org = first?.enterprise_id ?? body.enterprise_id;
  return first?.is_enterprise_install && org ? org : body.team_id;
}
