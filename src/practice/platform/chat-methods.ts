import { botMessage, compose } from './composing.ts';
import { asText, type Method, type PlatformCore, refuse } from './core.ts';
import type { Json, StoredMessage } from './message.ts';
import { changedMessage, post, postingPlace, showPrivately } from './posting.ts';

/** chat.update refuses text above this (slack-api: `msg_too_long`). */
const mostUpdateTextCharacters = 4_000;
/** chat.scheduleMessage reaches this far ahead and takes this many posts in five minutes of one channel. */
const mostScheduleAheadSeconds = 120 * 86_400;
const mostScheduledInFiveMinutes = 30;
/** A scheduled message cannot be called back in its last minute (chat.deleteScheduledMessage). */
const deleteLeadSeconds = 60;

const postMessage: Method = (core, args) => {
  const place = postingPlace(core, args.channel);
  if ('refusal' in place) return place.refusal;
  const checked = compose(core, 'chat.postMessage', args);
  if (!checked.ok) return checked.refusal;
  const { composed } = checked;
  if (!composed.text && !composed.blocks?.length) return refuse('no_text');
  const threadTs = typeof args.thread_ts === 'string' && args.thread_ts !== '' ? args.thread_ts : undefined;
  if (threadTs !== undefined && !core.workspace.message(place.id, threadTs))
    return refuse('thread_not_found');
  const waitMs = core.takePost(place.id);
  if (waitMs > 0) return refuse('ratelimited', { retryAfterMs: waitMs });
  const message = botMessage(core, composed, threadTs === undefined ? {} : { thread_ts: threadTs });
  post(core, place, message);
  return { ok: true, channel: place.id, ts: message.ts, message: publicMessage(message, false) };
};

const update: Method = (core, args) => {
  const found = ownMessage(core, args, 'cant_update_message');
  if ('refusal' in found) return found.refusal;
  if (asText(args.text).length > mostUpdateTextCharacters) return refuse('msg_too_long');
  const checked = compose(core, 'chat.update', args);
  if (!checked.ok) return checked.refusal;
  const { composed } = checked;
  if (composed.text === undefined && composed.blocks === undefined) return refuse('no_text');
  const message = changedMessage(core, found.message, composed);
  core.workspace.record({ kind: 'changed', channel: found.channel, message });
  return {
    ok: true,
    channel: found.channel,
    ts: message.ts,
    text: message.text,
    message: publicMessage(message, false),
  };
};

const remove: Method = (core, args) => {
  const found = ownMessage(core, args, 'cant_delete_message');
  if ('refusal' in found) return found.refusal;
  core.workspace.record({ kind: 'deleted', channel: found.channel, ts: found.message.ts });
  return { ok: true, channel: found.channel, ts: found.message.ts };
};

const postEphemeral: Method = (core, args) => {
  const place = postingPlace(core, args.channel);
  if ('refusal' in place) return place.refusal;
  const reader = asText(args.user);
  if (!core.workspace.user(reader)) return refuse('user_not_found');
  if (!place.memberIds.includes(reader)) return refuse('user_not_in_channel');
  const checked = compose(core, 'chat.postEphemeral', args);
  if (!checked.ok) return checked.refusal;
  if (!checked.composed.text && !checked.composed.blocks?.length) return refuse('no_text');
  const threadTs = args.thread_ts;
  const shown = showPrivately(
    core,
    place.id,
    reader,
    checked.composed,
    typeof threadTs === 'string' ? { threadTs } : {},
  );
  return { ok: true, message_ts: shown.ts };
};

const scheduleMessage: Method = (core, args) => {
  const place = postingPlace(core, args.channel);
  if ('refusal' in place) return place.refusal;
  const postAt = Math.floor(Number(args.post_at));
  const nowSeconds = core.clock.now() / 1000;
  if (!Number.isFinite(postAt)) return refuse('invalid_time');
  if (postAt <= nowSeconds) return refuse('time_in_past');
  if (postAt > nowSeconds + mostScheduleAheadSeconds) return refuse('time_too_far');
  const checked = compose(core, 'chat.scheduleMessage', args);
  if (!checked.ok) return checked.refusal;
  const { text = '', blocks, metadata } = checked.composed;
  if (!text && !blocks?.length) return refuse('no_text');
  const window = Math.floor(postAt / 300);
  const crowd = [...core.workspace.scheduled.values()].filter(
    (other) => other.channel === place.id && Math.floor(other.postAt / 300) === window,
  );
  if (crowd.length >= mostScheduledInFiveMinutes) return refuse('restricted_too_many');
  if (metadata)
    core.warnings.push('chat.scheduleMessage: with metadata the platform never posts the message');
  const id = core.workspace.nextId('Q');
  const message = {
    text,
    ...(blocks ? { blocks } : {}),
    ...(typeof args.thread_ts === 'string' ? { thread_ts: args.thread_ts } : {}),
  };
  core.workspace.record({
    kind: 'scheduled',
    scheduled: { id, channel: place.id, postAt, message, hasMetadata: metadata !== undefined },
  });
  return { ok: true, channel: place.id, scheduled_message_id: id, post_at: postAt, message };
};

const deleteScheduledMessage: Method = (core, args) => {
  const found = core.workspace.scheduled.get(asText(args.scheduled_message_id));
  if (!found || found.channel !== args.channel) return refuse('invalid_scheduled_message_id');
  const tooLate = !core.hurried && found.postAt - core.clock.now() / 1000 < deleteLeadSeconds;
  if (tooLate) return refuse('invalid_scheduled_message_id');
  core.workspace.record({ kind: 'unscheduled', id: found.id });
  return { ok: true };
};

const scheduledMessagesList: Method = (core, args) => ({
  ok: true,
  scheduled_messages: [...core.workspace.scheduled.values()]
    .filter((message) => args.channel === undefined || message.channel === args.channel)
    .sort((left, right) => left.postAt - right.postAt)
    .map((message) => ({
      id: message.id,
      channel_id: message.channel,
      post_at: message.postAt,
      date_created: message.postAt,
      text: message.message.text,
    })),
  response_metadata: { next_cursor: '' },
});

const getPermalink: Method = (core, args) => {
  const conversation = core.workspace.conversation(asText(args.channel));
  if (!conversation) return refuse('channel_not_found');
  const ts = asText(args.message_ts);
  if (!core.workspace.message(conversation.id, ts)) return refuse('message_not_found');
  const permalink = `${core.origin()}/#${conversation.id}/p${ts.replace('.', '')}`;
  return { ok: true, channel: conversation.id, permalink };
};

function ownMessage(
  core: PlatformCore,
  args: Json,
  notOwn: string,
): { channel: string; message: StoredMessage } | { refusal: Json } {
  const place = postingPlace(core, args.channel);
  // The method has a word of its own for it (chat.update: "frozen, archived or deleted channel").
  if ('refusal' in place)
    return place.refusal.error === 'is_archived' ? { refusal: refuse('is_inactive') } : place;
  const message = core.workspace.message(place.id, asText(args.ts));
  if (!message) return { refusal: refuse('message_not_found') };
  if (message.bot_id !== core.world.app.botId) return { refusal: refuse(notOwn) };
  return { channel: place.id, message };
}

/** A message as calls hand it out: metadata only when asked for. */
export function publicMessage(message: StoredMessage, withMetadata: boolean): Json {
  const { metadata, ...rest } = message;
  return { ...rest, ...(withMetadata && metadata ? { metadata } : {}) };
}

/** chat.* */
export const chatMethods: Record<string, Method> = {
  'chat.postMessage': postMessage,
  'chat.update': update,
  'chat.delete': remove,
  'chat.postEphemeral': postEphemeral,
  'chat.scheduleMessage': scheduleMessage,
  'chat.deleteScheduledMessage': deleteScheduledMessage,
  'chat.scheduledMessages.list': scheduledMessagesList,
  'chat.getPermalink': getPermalink,
};
