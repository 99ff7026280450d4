import type { PlatformCore } from './core.ts';
import type { Delivery } from './delivery.ts';
import type { DeliveryDesk } from './delivery-desk.ts';
import type { Conversation, Json } from './message.ts';
import { person } from './people.ts';
import type { PersonStanding } from './workspace.ts';

/** How an event goes out: `quietly` it does not, as one that was lost. */
interface How {
  quietly?: boolean;
}

export type WorkplaceDriver = ReturnType<typeof workplaceDriver>;

/** What administrators do to a workspace, and what the app hears of it. */
export function workplaceDriver(core: PlatformCore, desk: DeliveryDesk) {
  return { ...channelDriver(core, desk), ...accountDriver(core, desk) };
}

async function heard(desk: DeliveryDesk, inner: Json, { quietly = false }: How = {}) {
  return quietly ? null : desk.event(inner);
}

function channelDriver(core: PlatformCore, desk: DeliveryDesk) {
  const { botUserId } = core.world.app;
  const channelOf = (id: string): Conversation => {
    const found = core.workspace.conversation(id);
    if (!found) throw new Error(`There is no channel ${id}.`);
    return found;
  };
  const kindOf = (id: string) => (channelOf(id).isPrivate ? 'group' : 'channel');
  return {
    /** Nothing can be posted there any more (`channel_archive`, `group_archive`). */
    async archive(channel: string, how?: How): Promise<Delivery | null> {
      core.workspace.record({ kind: 'archived', channel, isArchived: true });
      return heard(desk, { type: `${kindOf(channel)}_archive`, channel }, how);
    },
    /** `channel_unarchive`; apps may have to be invited anew, which `withoutApp` does. */
    async unarchive(
      channel: string,
      { withoutApp = false, ...how }: How & { withoutApp?: boolean } = {},
    ): Promise<Delivery | null> {
      core.workspace.record({ kind: 'archived', channel, isArchived: false });
      if (withoutApp) core.workspace.record({ kind: 'left', userId: botUserId, channel });
      return heard(desk, { type: `${kindOf(channel)}_unarchive`, channel }, how);
    },
    /** Takes a person or the app out of a channel: `member_left_channel`, of the app itself `channel_left` as well. */
    async takeOut({ user, channel }: { user: string; channel: string }, how?: How): Promise<Delivery | null> {
      const userId = user === botUserId ? user : person(core, user).id;
      const kind = kindOf(channel);
      core.workspace.record({ kind: 'left', userId, channel });
      const team = core.world.team.id;
      const left = { type: 'member_left_channel', user: userId, channel, channel_type: 'C', team };
      if (userId === botUserId) await heard(desk, { type: `${kind}_left`, channel }, how);
      return heard(desk, left, how);
    },
    async rename(channel: string, name: string): Promise<Delivery | null> {
      core.workspace.record({ kind: 'renamed', channel, name });
      return heard(desk, { type: `${kindOf(channel)}_rename`, channel: { id: channel, name, created: 0 } });
    },
    /** The channel is gone (`channel_deleted`). */
    async removeChannel(channel: string, how?: How): Promise<Delivery | null> {
      const kind = kindOf(channel);
      core.workspace.record({ kind: 'removed', channel });
      return heard(desk, { type: `${kind}_deleted`, channel }, how);
    },
    /** The channel has another id from now on and is known by no other (`channel_id_changed`). */
    async changeChannelId(channel: string, now: string, how?: How): Promise<Delivery | null> {
      core.workspace.record({ kind: 'channel id', channel, now });
      return heard(desk, { type: 'channel_id_changed', old_channel_id: channel, new_channel_id: now }, how);
    },
    /** Makes a channel private: whoever is not in it sees none. No event. */
    makePrivate(channel: string): void {
      channelOf(channel).isPrivate = true;
    },
  };
}

function accountDriver(core: PlatformCore, desk: DeliveryDesk) {
  return {
    /** Deactivates an account, makes it a guest's, or another workspace's. No event that a bot subscribes to. */
    changePerson(user: string, standing: PersonStanding): void {
      core.workspace.record({ kind: 'person', userId: person(core, user).id, standing });
    },
    /** The app is taken out of the workspace: its token is worth nothing from now on (`tokens_revoked`, `app_uninstalled`). */
    async uninstall(): Promise<Delivery | null> {
      core.token.isRevoked = true;
      await heard(desk, { type: 'tokens_revoked', tokens: { oauth: [], bot: [core.world.app.botUserId] } });
      return heard(desk, { type: 'app_uninstalled' });
    },
  };
}
