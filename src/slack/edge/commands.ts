import type { App } from '@slack/bolt';
import type { Caller } from '../../chat/bot.ts';
import { guarded } from '../../chat/guard.ts';
import { onCommand } from '../../chat/listeners/command.ts';
import { wardIdOf } from '../../chat/ward-id.ts';
import { answersTo, otherWorkspace } from '../../wording/edge/refused.ts';
import { asWritten } from '../render/mrkdwn.ts';
import { inPlace, privately } from './answers.ts';
import { botFor } from './bot-for.ts';
import type { Taken } from './taken.ts';

/** What is typed after the slash command. */
export function takeCommands(app: App, taken: Taken): void {
  const { command, timed, goOn, trouble } = taken;
  app.command(command, async ({ ack, body, respond }) => {
    await timed(() => ack());
    const bot = await botFor(taken, body.team_id, (text) => respond({ text, response_type: 'ephemeral' }));
    if (!bot) return;
    const caller: Caller = {
      wardId: wardIdOf(body.team_id, body.channel_id),
      user: body.user_id,
      inChannel: body.channel_id,
      triggerId: body.trigger_id,
      once: `c.${body.trigger_id}`,
      say: privately(bot, () => wardIdOf(body.team_id, body.channel_id), body.user_id, respond),
      sayInstead: (text) => inPlace(bot, respond, caller, text),
    };
    await goOn(
      guarded(
        async () => {
          if (body.team_id !== bot.team) return caller.say(otherWorkspace);
          await onCommand(bot, caller, { text: asWritten(body.text ?? ''), channelName: body.channel_name });
        },
        caller,
        (what, cause) => trouble(what, { user: body.user_id, channel: body.channel_id }, cause),
      ),
    );
  });
  // Another one that an administrator pointed here, or the old name after SLACK_COMMAND was changed.
  app.command(new RegExp(`^(?!${command}$)`), async ({ ack, body }) => {
    await timed(() => ack(answersTo(command)));
    trouble('a command came that is not ours', { user: body.user_id, channel: body.channel_id });
  });
}
