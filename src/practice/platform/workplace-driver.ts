import type { PlatformCore } from './core.ts';
import type { Delivery } from './delivery.ts';
import type { DeliveryDesk } from './delivery-desk.ts';
import type { Conversation, Json } from './message.ts';
import { person } from './message-driver.ts';
import { actionTs, eventPayload } from './payloads.ts';
import type { PersonStanding } from './workspace.ts';

/** How an event goes out: `quietly` it does not, as one that was lost. */
interface How {
  quietly?: boolean;
}

/** What administrators do to a workspace, and what the app hears of it. */
export interface WorkplaceDriver {
  /** Nothing can be posted there any more (`channel_archive`, `group_archive`). */
  archive(channel: string, how?: How): Promise<Delivery | null>;
  /** `channel_unarchive`; apps may have to be invited anew, which `withoutApp` does. */
  unarchive(channel: string, how?: How & { withoutApp?: boolean }): Promise<Delivery | null>;
  /** Takes a person or the app out of a channel: `member_left_channel`, of the app itself `channel_left` as well. */
  takeOut(given: { user: string; channel: string }, how?: How): Promise<Delivery | null>;
  rename(channel: string, name: string): Promise<Delivery | null>;
  /** The channel is gone (`channel_deleted`). */
  removeChannel(channel: string, how?: How): Promise<Delivery | null>;
  /** The channel has another id from now on and is known by no other (`channel_id_changed`). */
  changeChannelId(channel: string, now: string, how?: How): Promise<Delivery | null>;
  /** Makes a channel private: whoever is not in it sees none. No event. */
  makePrivate(channel: string): void;
  /** Deactivates an account, makes it a guest's, or another workspace's. No event that a bot subscribes to. */
  changePerson(user: string, standing: PersonStanding): void;
  /** The app is taken out of the workspace: its token is worth nothing from now on (`tokens_revoked`, `app_uninstalled`). */
  uninstall(): Promise<Delivery | null>;
}

/** Drives the life of the workplace around the app. */
export function workplaceDriver(core: PlatformCore, desk: DeliveryDesk): WorkplaceDriver {
  const { botUserId } = core.world.app;
  const event = async (inner: Json, { quietly = false }: How = {}) =>
    quietly ? null : desk.send('events_api', eventPayload(core, { ...inner, event_ts: actionTs(core) }));
  const channelOf = (id: string): Conversation => {
    const found = core.workspace.conversation(id);
    if (!found) throw new Error(`There is no channel ${id}.`);
    return found;
  };
  const kindOf = (id: string) => (channelOf(id).isPrivate ? 'group' : 'channel');
  return {
    async archive(channel, how) {
      core.workspace.record({ kind: 'archived', channel, isArchived: true });
      return event({ type: `${kindOf(channel)}_archive`, channel }, how);
    },
    async unarchive(channel, { withoutApp = false, ...how } = {}) {
      core.workspace.record({ kind: 'archived', channel, isArchived: false });
      if (withoutApp) core.workspace.record({ kind: 'left', userId: botUserId, channel });
      return event({ type: `${kindOf(channel)}_unarchive`, channel }, how);
    },
    async takeOut({ user, channel }, how) {
      const userId = user === botUserId ? user : person(core, user).id;
      const kind = kindOf(channel);
      core.workspace.record({ kind: 'left', userId, channel });
      const team = core.world.team.id;
      const left = { type: 'member_left_channel', user: userId, channel, channel_type: 'C', team };
      if (userId === botUserId) await event({ type: `${kind}_left`, channel }, how);
      return event(left, how);
    },
    async rename(channel, name) {
      core.workspace.record({ kind: 'renamed', channel, name });
      return event({ type: `${kindOf(channel)}_rename`, channel: { id: channel, name, created: 0 } });
    },
    async removeChannel(channel, how) {
      const kind = kindOf(channel);
      core.workspace.record({ kind: 'removed', channel });
      return event({ type: `${kind}_deleted`, channel }, how);
    },
    async changeChannelId(channel, now, how) {
      core.workspace.record({ kind: 'channel id', channel, now });
      return event({ type: 'channel_id_changed', old_channel_id: channel, new_channel_id: now }, how);
    },
    makePrivate(channel) {
      channelOf(channel).isPrivate = true;
    },
    changePerson(user, standing) {
      core.workspace.record({ kind: 'person', userId: person(core, user).id, standing });
    },
    async uninstall() {
      core.token.isRevoked = true;
      await event({ type: 'tokens_revoked', tokens: { oauth: [], bot: [botUserId] } });
      return event({ type: 'app_uninstalled' });
    },
  };
}
