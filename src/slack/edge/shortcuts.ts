import type { App, GlobalShortcut, MessageShortcut, SlackShortcutMiddlewareArgs } from '@slack/bolt';
import { notAllowed, otherTeam } from '../../chat/allowed.ts';
import { asTyped } from '../../chat/as-typed.ts';
import type { Caller } from '../../chat/bot.ts';
import { guarded } from '../../chat/guard.ts';
import { menuShortcut, onMenuShortcut } from '../../chat/listeners/shortcut.ts';
import { onStripShortcut, stripShortcut } from '../../chat/listeners/strip.ts';
import { wardIdOf } from '../../chat/ward-id.ts';
import { withWarning } from '../../chat/with-warning.ts';
import { drawnAnswer } from '../render/message.ts';
import { privately } from './answers.ts';
import { botFor } from './bot-for.ts';
import type { Taken } from './taken.ts';

/** Shortcuts of messages and of the whole workspace. */
export function takeShortcuts(app: App, taken: Taken): void {
  const { timed, trouble } = taken;
  app.shortcut(new RegExp(`^(?!(?:${stripShortcut}|${menuShortcut})$)`), async ({ ack, shortcut }) => {
    await timed(() => ack());
    trouble('a shortcut came that is not ours', { user: shortcut.user.id });
  });
  app.shortcut<MessageShortcut>({ callback_id: stripShortcut, type: 'message_action' }, async (args) => {
    await timed(() => args.ack());
    await takeStrip(taken, args);
  });
  app.shortcut<GlobalShortcut>({ callback_id: menuShortcut, type: 'shortcut' }, async ({ ack, shortcut }) => {
    await timed(() => ack());
    await takeMenu(taken, shortcut);
  });
}

/** “Read this strip”, on a message with a file. */
async function takeStrip(
  taken: Taken,
  { shortcut, respond }: Pick<SlackShortcutMiddlewareArgs<MessageShortcut>, 'shortcut' | 'respond'>,
): Promise<void> {
  const bot = await botFor(taken, shortcut.team?.id ?? shortcut.user.team_id, (text) =>
    respond({ text, response_type: 'ephemeral', replace_original: false }),
  );
  if (!bot) return;
  const team = shortcut.team?.id ?? bot.team;
  const wardId = wardIdOf(team, shortcut.channel.id);
  const caller: Caller = {
    wardId,
    user: shortcut.user.id,
    inChannel: shortcut.channel.id,
    triggerId: shortcut.trigger_id,
    once: `s.${shortcut.user.id}.${shortcut.action_ts}`,
    say: privately(bot, () => wardId, shortcut.user.id, respond, shortcut.channel.id),
  };
  const files = (shortcut.message as { files?: { id?: unknown }[] }).files ?? [];
  const chosen = {
    files: files.flatMap(({ id }) => (typeof id === 'string' ? [id] : [])),
    at: Math.round(Number(shortcut.message_ts) * 1_000),
  };
  await answered(taken, caller, stripShortcut, async () => {
    const refusal = await notAllowed(bot, caller, team);
    if (refusal !== null) return caller.say(refusal);
    await onStripShortcut(bot, caller, chosen);
  });
}

/** The menu, from anywhere in the workspace. */
async function takeMenu(taken: Taken, shortcut: GlobalShortcut): Promise<void> {
  const team = shortcut.team?.id ?? shortcut.user.team_id;
  // There is nowhere to answer where the app isn't installed: no message, no channel.
  const bot = await botFor(taken, team, async () => undefined);
  if (!bot) return;
  const user = shortcut.user.id;
  const caller: Caller = {
    wardId: wardIdOf(bot.team, ''),
    user,
    triggerId: shortcut.trigger_id,
    once: `s.${user}.${shortcut.action_ts}`,
    say: async (text) =>
      void (await bot.client.chat.postMessage({
        channel: user,
        ...asTyped(drawnAnswer(withWarning(await bot.warning(), { text })), bot.command),
      })),
  };
  await answered(taken, caller, menuShortcut, async () => {
    const refusal = otherTeam(bot, caller, team);
    if (refusal !== null) return caller.say(refusal);
    await onMenuShortcut(bot, caller);
  });
}

function answered(
  { goOn, trouble }: Taken,
  caller: Caller,
  action: string,
  work: () => Promise<void>,
): Promise<void> {
  return goOn(guarded(work, caller, (what, cause) => trouble(what, { user: caller.user, action }, cause)));
}
