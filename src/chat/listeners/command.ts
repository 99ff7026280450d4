import type { ActionValue } from '../action-value.ts';
import { noPart } from '../allowed.ts';
import { helpMessage } from '../answers/help.ts';
import type { Bot, Caller } from '../bot.ts';
import { botIsIn } from '../membership.ts';
import { parseCommand } from '../typed/parse-command.ts';
import { lineVerb } from '../verbs/line-verbs.ts';
import { openAmend } from './amend.ts';
import { assignCommand } from './assign.ts';
import { auditCommand } from './audit.ts';
import { coverCommand } from './cover.ts';
import { exportCommand } from './export-record.ts';
import { handoverCommand } from './handover.ts';
import { named, onLineVerb, recordTyped } from './line-command.ts';
import { showMine } from './mine.ts';
import { onCallCommand } from './on-call.ts';
import { openPolicy } from './open-form.ts';
import { attemptTyped, openPlace, openScreening } from './placing.ts';
import { policyTyped } from './policy-sent.ts';
import { risksCommand } from './risks.ts';
import { sayMeant, verbMeant } from './say-meant.ts';
import { openSetUp } from './set-up.ts';
import { showDue, showMenu, showNamed, showRounds } from './show.ts';
import { targetsTyped } from './targets.ts';
import { helpGiven } from './teach.ts';

/** What came after the slash command, as typed. */
export interface Typed {
  text: string;
  channelName: string;
}

/** Does what was typed: opens the menu or a form, records what was typed, or says what was wrong with it. */
export async function onCommand(bot: Bot, caller: Caller, { text, channelName }: Typed): Promise<void> {
  if (channelName === 'directmessage') {
    return caller.say(
      `A line belongs to a ward, and a ward is a channel. Type ${bot.command} in the ward’s channel.`,
    );
  }
  const command = parseCommand(text, bot.command);
  const toWard = command.is === 'menu' || (command.is === 'verb' && command.verb !== 'help');
  if (toWard && !(await botIsIn(bot.membership, caller.wardId, bot.userId))) {
    const own = await bot.names.of(bot.userId);
    return caller.say(
      `I am not in this channel, so I could not remind anybody here. Type /invite @${own} in the ward’s channel, then ${bot.command} again. Nothing was recorded.`,
    );
  }
  // Help is for everybody; what reads or writes the ward is for those who have a part in it, as with every button.
  const refusal = toWard || command.is === 'unknown' ? await noPart(bot, caller) : null;
  if (refusal !== null) return caller.say(command.is === 'unknown' ? command.message : refusal);
  switch (command.is) {
    case 'menu':
      return showMenu(bot, caller);
    case 'unknown':
      if (await showNamed(bot, caller, text)) return;
      return sayMeant(caller, command.message, await verbMeant(bot, caller, command));
    case 'verb':
      return onVerb(bot, caller, command.verb, command.rest);
  }
}

async function onVerb(bot: Bot, caller: Caller, verb: string, rest: string): Promise<void> {
  switch (verb) {
    case 'place':
      return rest.trim() === '' ? openScreening(bot, caller) : openPlace(bot, caller, rest);
    case 'attempt':
      return attemptTyped(bot, caller, rest);
    case 'risks':
      return risksCommand(bot, caller, rest);
    case 'mine':
      return showMine(bot, caller);
    case 'due':
      return showDue(bot, caller);
    case 'round':
      return showRounds(bot, caller);
    case 'handover':
      return handoverCommand(bot, caller, rest);
    case 'audit':
      return auditCommand(bot, caller, rest);
    case 'oncall':
      return onCallCommand(bot, caller, rest);
    case 'assign':
      return assignCommand(bot, caller, rest);
    case 'cover':
      return coverCommand(bot, caller, rest);
    case 'setup':
      return openSetUp(bot, caller);
    case 'policy':
      return rest === '' ? openPolicy(bot, caller) : policyTyped(bot, caller, rest);
    case 'export':
      return exportCommand(bot, caller, rest);
    case 'help': {
      const help = helpMessage(await helpGiven(bot, caller.wardId), rest);
      return caller.say(help.text, help.parts);
    }
    default:
      return onLineVerb(bot, caller, verb, rest);
  }
}

/** Yes to “Did you mean …?”: what was typed is done as if it had been typed so. */
export async function meantPressed(
  bot: Bot,
  caller: Caller,
  { l, v = '', x = '' }: ActionValue,
): Promise<void> {
  if (l === undefined) return onVerb(bot, caller, v, x);
  const { ward, lines } = await bot.deps.record.readWard(caller.wardId);
  const line = lines.find(({ id }) => id === l);
  if (!line) return caller.say('This line isn’t on this ward’s record. Nothing was recorded.');
  const spec = lineVerb(v);
  if (v === 'targets') return targetsTyped(bot, caller, line, x, ward);
  if (!spec) return openAmend(bot, caller, line.id);
  return recordTyped(bot, caller, named(spec, line, lines, bot.command), line, x, ward);
}
