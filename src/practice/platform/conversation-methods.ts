import { DateTime } from 'luxon';
import { publicMessage } from './chat-methods.ts';
import { asText, isYes, type Method, type PlatformCore, refuse } from './core.ts';
import type { Conversation, Json, StoredMessage } from './message.ts';
import { tsMicros } from './workspace.ts';
import type { WorldUser } from './world.ts';

/** Items of one page, as documented. */
const mostPageItems = 999;

function described(core: PlatformCore, conversation: Conversation): Json {
  const channel = core.world.channels.find((candidate) => candidate.id === conversation.id);
  const isMember = conversation.memberIds.includes(core.world.app.botUserId);
  if (conversation.kind === 'im')
    return {
      id: conversation.id,
      is_im: true,
      is_channel: false,
      user: conversation.memberIds.find((id) => id !== core.world.app.botUserId),
      created: 0,
      context_team_id: core.world.team.id,
    };
  return {
    id: conversation.id,
    name: conversation.name,
    name_normalized: conversation.name,
    is_channel: true,
    is_im: false,
    is_private: conversation.isPrivate ?? false,
    is_archived: conversation.isArchived ?? false,
    is_member: isMember,
    num_members: conversation.memberIds.length,
    purpose: { value: channel?.purpose ?? '', creator: '', last_set: 0 },
    topic: { value: '', creator: '', last_set: 0 },
    created: 0,
    context_team_id: core.world.team.id,
  };
}

function place(core: PlatformCore, args: Json): Conversation | { refusal: Json } {
  const found = core.workspace.conversation(asText(args.channel));
  const isHidden = found?.isPrivate && !found.memberIds.includes(core.world.app.botUserId);
  return found && !isHidden ? found : { refusal: refuse('channel_not_found') };
}

function readable(core: PlatformCore, args: Json): Conversation | { refusal: Json } {
  const found = place(core, args);
  if ('refusal' in found) return found;
  return found.memberIds.includes(core.world.app.botUserId) ? found : { refusal: refuse('not_in_channel') };
}

/** One page of a list, and the cursor to the next; an empty cursor on the last. */
function onePage<Item>(items: readonly Item[], args: Json, limit: number) {
  const from = args.cursor ? Number(Buffer.from(asText(args.cursor), 'base64url').toString()) : 0;
  const next = from + limit < items.length ? Buffer.from(String(from + limit)).toString('base64url') : '';
  return { shown: items.slice(from, from + limit), response_metadata: { next_cursor: next } };
}

function page(messages: StoredMessage[], args: Json): Json {
  const limit = Math.min(mostPageItems, Math.max(1, Math.floor(Number(args.limit ?? 100)) || 100));
  const { shown, response_metadata } = onePage(messages, args, limit);
  return {
    ok: true,
    messages: shown.map((message) => publicMessage(message, isYes(args.include_all_metadata))),
    has_more: response_metadata.next_cursor !== '',
    response_metadata,
  };
}

function inWindow(args: Json): (message: StoredMessage) => boolean {
  const oldest = args.oldest === undefined || args.oldest === '' ? -Infinity : tsMicros(asText(args.oldest));
  const latest = args.latest === undefined || args.latest === '' ? Infinity : tsMicros(asText(args.latest));
  const inclusive = isYes(args.inclusive);
  return (message) => {
    const at = tsMicros(message.ts);
    return inclusive ? at >= oldest && at <= latest : at > oldest && at < latest;
  };
}

const history: Method = (core, args) => {
  const found = readable(core, args);
  if ('refusal' in found) return found.refusal;
  const rooted = found.messages.filter(
    (message) => message.thread_ts === undefined || message.thread_ts === message.ts,
  );
  return page(rooted.filter(inWindow(args)).reverse(), args);
};

const replies: Method = (core, args) => {
  const found = readable(core, args);
  if ('refusal' in found) return found.refusal;
  const ts = asText(args.ts);
  if (!core.workspace.message(found.id, ts)) return refuse('thread_not_found');
  const thread = found.messages.filter(
    (message) => message.ts === ts || (message.thread_ts === ts && inWindow(args)(message)),
  );
  return page(thread, args);
};

const members: Method = (core, args) => {
  const found = place(core, args);
  if ('refusal' in found) return found.refusal;
  const limit = Number(args.limit ?? 100);
  if (!(limit >= 1 && limit <= mostPageItems)) return refuse('invalid_limit');
  const { shown, response_metadata } = onePage(found.memberIds, args, limit);
  return { ok: true, members: shown, response_metadata };
};

const info: Method = (core, args) => {
  const found = place(core, args);
  return 'refusal' in found ? found.refusal : { ok: true, channel: described(core, found) };
};

const open: Method = (core, args) => {
  const ids = asText(args.users)
    .split(',')
    .filter((id) => id !== '');
  const [only] = ids;
  if (only === undefined || ids.length !== 1 || !core.workspace.user(only)) return refuse('user_not_found');
  const { deleted, isBot } = core.workspace.standing(only);
  if (deleted) return refuse('user_disabled');
  if (isBot) return refuse('cannot_dm_bot');
  const already = core.workspace.conversation(`D${only.slice(1)}`) !== undefined;
  const conversation = core.workspace.directMessages(only);
  return {
    ok: true,
    ...(already ? { no_op: true, already_open: true } : {}),
    channel: isYes(args.return_im) ? described(core, conversation) : { id: conversation.id },
  };
};

const list: Method = (core) => ({
  ok: true,
  channels: [...core.workspace.conversations.values()]
    .filter((conversation) => conversation.kind === 'channel')
    .map((conversation) => described(core, conversation)),
  response_metadata: { next_cursor: '' },
});

function describedUser(core: PlatformCore, user: WorldUser): Json {
  const at = DateTime.fromMillis(core.clock.now(), { zone: user.zone });
  const standing = core.workspace.standing(user.id);
  return {
    id: user.id,
    team_id: standing.teamId ?? core.world.team.id,
    name: user.handle,
    real_name: user.name,
    deleted: standing.deleted ?? false,
    is_bot: standing.isBot ?? false,
    is_restricted: standing.isGuest ?? false,
    is_ultra_restricted: false,
    is_app_user: false,
    tz: user.zone,
    tz_label: at.offsetNameLong ?? user.zone,
    tz_offset: at.offset * 60,
    profile: {
      real_name: user.name,
      display_name: user.name,
      real_name_normalized: user.name,
      display_name_normalized: user.name,
    },
    updated: 0,
  };
}

const usersInfo: Method = (core, args) => {
  const { app, team } = core.world;
  if (args.user === app.botUserId)
    return {
      ok: true,
      user: {
        id: app.botUserId,
        team_id: team.id,
        name: app.botName.toLowerCase(),
        real_name: app.botName,
        is_bot: true,
        deleted: false,
        tz: 'UTC',
        tz_offset: 0,
        profile: { real_name: app.botName, display_name: app.botName, bot_id: app.botId, api_app_id: app.id },
      },
    };
  const user = core.workspace.user(asText(args.user));
  return user ? { ok: true, user: describedUser(core, user) } : refuse('user_not_found');
};

const usersList: Method = (core) => ({
  ok: true,
  members: core.world.users.map((user) => describedUser(core, user)),
  response_metadata: { next_cursor: '' },
});

const authTest: Method = (core) => ({
  ok: true,
  url: `${core.origin()}/`,
  team: core.world.team.name,
  team_id: core.world.team.id,
  user: core.world.app.botName.toLowerCase(),
  user_id: core.world.app.botUserId,
  bot_id: core.world.app.botId,
  app_id: core.world.app.id,
  is_enterprise_install: false,
});

/** auth.*, conversations.*, users.* */
export const conversationMethods: Record<string, Method> = {
  'auth.test': authTest,
  'conversations.info': info,
  'conversations.members': members,
  'conversations.history': history,
  'conversations.replies': replies,
  'conversations.open': open,
  'conversations.list': list,
  'users.info': usersInfo,
  'users.list': usersList,
};
