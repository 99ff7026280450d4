import type { PlatformCore } from './core.ts';
import type { Delivery } from './delivery.ts';
import type { DeliveryDesk } from './delivery-desk.ts';
import type { Json, StoredMessage } from './message.ts';
import { person, placeOf, typedMessage } from './people.ts';
import { post } from './posting.ts';

interface Said {
  user: string;
  channel?: string;
  text: string;
}

export type EventDriver = ReturnType<typeof eventDriver>;

/** What people say, and where they go. */
export function eventDriver(core: PlatformCore, desk: DeliveryDesk) {
  return {
    /** Sends any event. */
    event: (inner: Json): Promise<Delivery> => desk.event(inner),
    /** Says something in a channel; apps that did not subscribe to messages hear nothing of it. */
    async say({ user: who, channel, text }: Said): Promise<StoredMessage> {
      const user = person(core, who);
      const message = typedMessage(core, user.id, text);
      post(core, placeOf(core, user, channel), message);
      return message;
    },
    /** Opens the app's own page (`app_home_opened`). */
    async openHome({ user: who }: { user: string }): Promise<Delivery> {
      const user = person(core, who);
      const home = core.views.home(user.id);
      return desk.event({
        type: 'app_home_opened',
        user: user.id,
        channel: core.workspace.directMessages(user.id).id,
        tab: 'home',
        ...(home ? { view: core.views.output(home) } : {}),
      });
    },
    /** Writes to the bot: by direct message (`message`), or by its name in a channel (`app_mention`). */
    async writeToBot({ user: who, text, channel }: Said): Promise<Delivery> {
      const user = person(core, who);
      const place =
        channel === undefined ? core.workspace.directMessages(user.id) : placeOf(core, user, channel);
      const named = channel === undefined ? '' : `<@${core.world.app.botUserId}> `;
      const message = typedMessage(core, user.id, text);
      message.text = named + message.text;
      post(core, place, message);
      const { ts } = message;
      return desk.event({
        type: channel === undefined ? 'message' : 'app_mention',
        ...(channel === undefined ? { channel_type: 'im' } : {}),
        user: user.id,
        channel: place.id,
        text: message.text,
        ts,
      });
    },
    /** Adds a person or the bot to a channel (`member_joined_channel`). */
    async join({ user, channel }: { user: string; channel: string }): Promise<Delivery> {
      const userId = user === core.world.app.botUserId ? user : person(core, user).id;
      const conversation = core.workspace.conversation(channel);
      if (!conversation) throw new Error(`There is no channel ${channel}.`);
      if (!conversation.memberIds.includes(userId))
        core.workspace.record({ kind: 'joined', userId, channel });
      return desk.event({
        type: 'member_joined_channel',
        user: userId,
        channel,
        channel_type: 'C',
        team: core.world.team.id,
      });
    },
  };
}
