import { randomBytes } from 'node:crypto';
import type { StateValues } from './block-ids.ts';
import type { PlatformCore } from './core.ts';
import { escapeTyped } from './escape.ts';
import type { Conversation, Json, StoredMessage } from './message.ts';
import type { OpenView } from './views.ts';
import type { WorldUser } from './world.ts';

/** Deprecated by the platform and still sent; nothing may depend on it. */
const verificationToken = 'practice-verification-token';

/** Another workspace or channel to claim, for tests of hostile payloads. */
export interface Claim {
  team?: string;
  channel?: string;
}

const teamOf = (core: PlatformCore, claim: Claim) => ({
  id: claim.team ?? core.world.team.id,
  domain: core.world.team.domain,
});
const userOf = (core: PlatformCore, user: WorldUser, claim: Claim) => ({
  id: user.id,
  username: user.handle,
  name: user.handle,
  team_id: claim.team ?? core.world.team.id,
});
const channelName = (conversation: Conversation) =>
  conversation.kind === 'im' ? 'directmessage' : conversation.name;

const common = (core: PlatformCore, user: WorldUser, claim: Claim): Json => ({
  user: userOf(core, user, claim),
  api_app_id: core.world.app.id,
  token: verificationToken,
  team: teamOf(core, claim),
  ...enterpriseOf(core),
});

/** What each payload says of the organisation. */
function enterpriseOf({ world: { enterprise } }: PlatformCore) {
  return {
    enterprise: enterprise ? { id: enterprise.id, name: enterprise.name } : null,
    is_enterprise_install: enterprise?.isInstalled ?? false,
  };
}

/** A fresh `action_ts` or `event_ts`. */
export function actionTs(core: PlatformCore): string {
  return `${Math.floor(core.realNow() / 1000)}.${String(randomBytes(3).readUIntBE(0, 3) % 1_000_000).padStart(6, '0')}`;
}

/** A slash command: every field a string. */
export function slashPayload(
  core: PlatformCore,
  user: WorldUser,
  conversation: Conversation,
  given: { command: string; text: string; triggerId: string; responseUrl: string; claim: Claim },
): Record<string, string> {
  return {
    token: verificationToken,
    team_id: given.claim.team ?? core.world.team.id,
    team_domain: core.world.team.domain,
    channel_id: given.claim.channel ?? conversation.id,
    channel_name: channelName(conversation),
    user_id: user.id,
    user_name: user.handle,
    command: given.command,
    text: given.text,
    api_app_id: core.world.app.id,
    is_enterprise_install: String(core.world.enterprise?.isInstalled ?? false),
    ...(core.world.enterprise
      ? { enterprise_id: core.world.enterprise.id, enterprise_name: core.world.enterprise.name }
      : {}),
    response_url: given.responseUrl,
    trigger_id: given.triggerId,
  };
}

/** The message as payloads carry it: plain text comes back escaped (github slackapi/bolt-python 513). */
function echoed(message: StoredMessage): Json {
  const escaped = (node: unknown): unknown => {
    if (Array.isArray(node)) return node.map(escaped);
    if (node === null || typeof node !== 'object') return node;
    const object = node as Json;
    if (object.type === 'plain_text')
      return { ...object, text: escapeTyped(String(object.text)), emoji: object.emoji ?? true };
    return Object.fromEntries(Object.entries(object).map(([key, value]) => [key, escaped(value)]));
  };
  return { ...message, ...(message.blocks ? { blocks: escaped(message.blocks) } : {}) };
}

/** A press of an element in a message. */
export function messageActionPayload(
  core: PlatformCore,
  user: WorldUser,
  conversation: Conversation,
  given: {
    message: StoredMessage;
    isEphemeral: boolean;
    action: Json;
    values: StateValues;
    triggerId: string;
    responseUrl: string;
    claim: Claim;
  },
): Json {
  const channelId = given.claim.channel ?? conversation.id;
  const { message } = given;
  return {
    type: 'block_actions',
    ...common(core, user, given.claim),
    container: {
      type: 'message',
      message_ts: message.ts,
      channel_id: channelId,
      is_ephemeral: given.isEphemeral,
      ...(message.thread_ts === undefined ? {} : { thread_ts: message.thread_ts }),
    },
    trigger_id: given.triggerId,
    channel: { id: channelId, name: channelName(conversation) },
    ...(given.isEphemeral ? {} : { message: echoed(message) }),
    state: { values: given.values },
    response_url: given.responseUrl,
    actions: [given.action],
  };
}

/** A press of an element in a modal or on the home page. */
export function viewActionPayload(
  core: PlatformCore,
  user: WorldUser,
  view: OpenView,
  given: { action: Json; triggerId: string; claim: Claim },
): Json {
  return {
    type: 'block_actions',
    ...common(core, user, given.claim),
    container: { type: 'view', view_id: view.id },
    trigger_id: given.triggerId,
    view: core.views.output(view),
    actions: [given.action],
  };
}

/** A form sent on. */
export function submissionPayload(
  core: PlatformCore,
  user: WorldUser,
  view: OpenView,
  triggerId: string,
  claim: Claim,
): Json {
  return {
    type: 'view_submission',
    ...common(core, user, claim),
    trigger_id: triggerId,
    view: core.views.output(view),
    response_urls: [],
  };
}

/** A form closed without sending. */
export function closedPayload(core: PlatformCore, user: WorldUser, view: OpenView, isCleared: boolean): Json {
  return {
    type: 'view_closed',
    ...common(core, user, {}),
    view: core.views.output(view),
    is_cleared: isCleared,
  };
}

/** A shortcut chosen from anywhere: no channel, no response address. */
export function shortcutPayload(
  core: PlatformCore,
  user: WorldUser,
  callbackId: string,
  triggerId: string,
): Json {
  return {
    type: 'shortcut',
    ...common(core, user, {}),
    callback_id: callbackId,
    trigger_id: triggerId,
    action_ts: actionTs(core),
  };
}

/** A shortcut chosen on a message. */
export function messageShortcutPayload(
  core: PlatformCore,
  user: WorldUser,
  conversation: Conversation,
  given: { callbackId: string; message: StoredMessage; triggerId: string; responseUrl: string },
): Json {
  return {
    type: 'message_action',
    ...common(core, user, {}),
    callback_id: given.callbackId,
    trigger_id: given.triggerId,
    response_url: given.responseUrl,
    action_ts: actionTs(core),
    message_ts: given.message.ts,
    channel: { id: conversation.id, name: channelName(conversation) },
    message: echoed(given.message),
  };
}

/** An event in its envelope. */
export function eventPayload(core: PlatformCore, event: Json): Json {
  const { team, app, enterprise } = core.world;
  return {
    token: verificationToken,
    team_id: team.id,
    context_team_id: team.id,
    context_enterprise_id: enterprise?.id ?? null,
    ...(enterprise ? { enterprise_id: enterprise.id } : {}),
    api_app_id: app.id,
    event,
    type: 'event_callback',
    event_id: `Ev${randomBytes(6).toString('hex').toUpperCase()}`,
    event_time: Math.floor(core.realNow() / 1000),
    authorizations: [
      {
        enterprise_id: enterprise?.id ?? null,
        team_id: team.id,
        user_id: app.botUserId,
        is_bot: true,
        is_enterprise_install: enterprise?.isInstalled ?? false,
      },
    ],
    is_ext_shared_channel: false,
    event_context: randomBytes(9).toString('base64url'),
  };
}
