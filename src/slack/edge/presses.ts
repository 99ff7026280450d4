import type { App, BlockAction, RespondFn } from '@slack/bolt';
import { readActionValue } from '../../chat/action-value.ts';
import { notAllowed, otherTeam } from '../../chat/allowed.ts';
import type { Caller } from '../../chat/bot.ts';
import { doubleTaps } from '../../chat/double-taps.ts';
import { guarded } from '../../chat/guard.ts';
import { meantPressed } from '../../chat/listeners/command.ts';
import { answerOldPractice, onPractisePress } from '../../chat/listeners/practise.ts';
import { onPress } from '../../chat/listeners/press.ts';
import { isTeaching, onTeach } from '../../chat/listeners/teach.ts';
import { wardIdOf } from '../../chat/ward-id.ts';
import { unreadableButton } from '../../wording/edge/refused.ts';
import { sentView } from '../render/sent-view.ts';
import type { SlackBot } from '../slack-bot.ts';
import { inPlace, privately } from './answers.ts';
import { botFor } from './bot-for.ts';
import { practiceCarried } from './practice-carried.ts';
import type { Taken } from './taken.ts';

/** Buttons of messages, forms and Home. */
export function takePresses(app: App, taken: Taken): void {
  const { timed, goOn, trouble } = taken;
  const isSecondTap = doubleTaps(() => Date.now());
  app.action<BlockAction>(/.*/, async ({ ack, body, action, respond }) => {
    await timed(() => ack());
    // Inputs inside forms announce themselves too; only buttons carry something to act on.
    if (action.type !== 'button') return;
    const team = body.team?.id ?? body.user.team_id;
    const bot = await botFor(taken, team, async (text) =>
      body.response_url ? respond({ text, response_type: 'ephemeral', replace_original: false }) : undefined,
    );
    if (!bot) return;
    const value = readActionValue(action.value);
    if (!value) {
      trouble('a button could not be read', { user: body.user.id, action: action.action_id });
      const say = sayTo(bot, body, respond, () => wardIdOf(bot.team, body.channel?.id ?? ''));
      await goOn(
        say(unreadableButton).catch((cause: unknown) =>
          trouble('a person could not be answered', { user: body.user.id }, cause),
        ),
      );
      return;
    }
    const where = body.view?.id ?? body.container?.message_ts;
    const tapped = JSON.stringify([where, action.action_id, value]);
    if (isSecondTap(body.user.id, tapped, action.action_ts)) return;
    const practice = practiceCarried(body.view, body.user.id);
    const caller = callerOf(bot, body, action, respond, practice?.wardId ?? value.w);
    await goOn(
      guarded(
        async () => {
          if (practice === null) return answerOldPractice(bot, body.view?.id);
          const isTaught = practice !== undefined || isTeaching(action.action_id);
          // What only teaches touches no record: whoever reads help may press it.
          const refusal = isTaught ? otherTeam(bot, caller, team) : await notAllowed(bot, caller, team);
          if (refusal !== null) return caller.say(refusal);
          if (practice) return onPractisePress(bot, caller, action.action_id, value, practice);
          if (isTaught) return onTeach(bot, caller, action.action_id, value);
          if (action.action_id === 'done:meant') return meantPressed(bot, caller, value);
          await onPress(bot, caller, action.action_id, value);
        },
        caller,
        (what, cause) => trouble(what, { user: body.user.id, action: action.action_id }, cause),
      ),
    );
  });
}

/** Says something to whoever pressed, where they pressed: on their Home, or to them alone in the channel. */
function sayTo(bot: SlackBot, body: BlockAction, respond: RespondFn, wardId: () => string): Caller['say'] {
  return body.view?.type === 'home'
    ? (text, parts) => bot.homes.say(body.user.id, text, parts)
    : privately(bot, wardId, body.user.id, body.response_url ? respond : undefined, body.channel?.id);
}

/** Whoever pressed a button of a ward, with the form or the message it stood in. */
function callerOf(
  bot: SlackBot,
  body: BlockAction,
  action: { action_id: string; action_ts: string },
  respond: RespondFn,
  wardId: string,
): Caller {
  const { user, view, channel, container } = body;
  const caller: Caller = {
    wardId,
    user: user.id,
    ...(channel ? { inChannel: channel.id } : {}),
    triggerId: body.trigger_id,
    once: `a.${user.id}.${action.action_ts}.${action.action_id}`,
    // A Home is no form: what is opened from it stands by itself, and what is said stands on it.
    ...(view && view.type !== 'home'
      ? {
          inView: {
            id: view.id,
            rootId: view.root_view_id ?? view.id,
            previousId: view.previous_view_id,
            page: view.callback_id,
            form: sentView(view),
          },
        }
      : {}),
    ...(isOpenMessage(container) ? { inMessage: messageOf(container) } : {}),
    say: sayTo(bot, body, respond, () => wardId),
    ...(isOwnAnswer(container) && body.response_url
      ? { sayInPlace: (text, parts) => inPlace(bot, respond, caller, text, parts) }
      : {}),
  };
  return caller;
}

interface Container {
  type?: unknown;
  channel_id?: unknown;
  message_ts?: unknown;
  is_ephemeral?: unknown;
}

/** Whether something was pressed in a message that everybody in its place sees. */
function isOpenMessage(container: Container | undefined): boolean {
  return container?.type === 'message' && container.is_ephemeral !== true;
}

/** Whether something was pressed in an answer that only whoever pressed it sees. */
function isOwnAnswer(container: Container | undefined): boolean {
  return container?.type === 'message' && container.is_ephemeral === true;
}

function messageOf({ channel_id, message_ts }: Container): { channel: string; id: string } {
  return { channel: String(channel_id), id: String(message_ts) };
}
