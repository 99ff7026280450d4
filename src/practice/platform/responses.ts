import { botMessage, compose } from './composing.ts';
import { isYes, type PlatformCore, refuse } from './core.ts';
import type { Json } from './message.ts';
import { changedMessage, post, showPrivately } from './posting.ts';
import type { ResponseTarget } from './response-urls.ts';

/**
 * Carries out what an app answered to a command, or posted to a response address: replace or delete the message the
 * person acted on, or show a new one, to everybody (`in_channel`) or to that person only. Works in channels the bot
 * is not in. Returns the platform's refusal, or `{ok: true}`.
 */
export function applyResponse(core: PlatformCore, target: ResponseTarget, body: Json): Json {
  const { workspace } = core;
  const conversation = workspace.conversation(target.channel);
  if (!conversation) return refuse('channel_not_found');
  const ephemeral = core.ephemerals.find((message) => message.ts === target.messageTs);
  const original =
    target.messageTs === undefined ? undefined : workspace.message(target.channel, target.messageTs);

  if (isYes(body.delete_original)) {
    if (ephemeral) {
      core.ephemerals.splice(core.ephemerals.indexOf(ephemeral), 1);
      core.changed();
    } else if (original) workspace.record({ kind: 'deleted', channel: target.channel, ts: original.ts });
    else return refuse('message_not_found');
    return { ok: true };
  }

  const checked = compose(core, 'response_url', body);
  if (!checked.ok) return checked.refusal;
  const { composed } = checked;
  if (!composed.text && !composed.blocks?.length) return refuse('no_text');

  if (isYes(body.replace_original)) {
    if (ephemeral) {
      Object.assign(ephemeral, changedMessage(core, ephemeral, composed));
      if (!composed.blocks && composed.text !== undefined) delete ephemeral.blocks;
      core.changed();
    } else if (original)
      workspace.record({
        kind: 'changed',
        channel: target.channel,
        message: changedMessage(core, original, composed),
      });
    else return refuse('message_not_found');
    return { ok: true };
  }

  const threadTs = typeof body.thread_ts === 'string' ? body.thread_ts : target.threadTs;
  if (body.response_type === 'in_channel') {
    const message = botMessage(core, composed, threadTs === undefined ? {} : { thread_ts: threadTs });
    post(core, conversation, message);
    target.messageTs ??= message.ts;
  } else {
    const threaded = threadTs === undefined ? {} : { threadTs };
    // An answer to a command is what that command's address replaces from then on (from memory, not in the reference).
    const shown = showPrivately(core, target.channel, target.userId, composed, threaded);
    target.messageTs ??= shown.ts;
  }
  return { ok: true };
}
