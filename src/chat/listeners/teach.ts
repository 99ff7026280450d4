import type { ActionValue } from '../action-value.ts';
import { type HelpGiven, helpList, screenHelp } from '../answers/help.ts';
import { type Bot, type Caller, openView, updateView } from '../bot.ts';
import { type Form } from '../form.ts';
import { screenOf } from '../help/screens.ts';
import { helpView } from '../views/help-view.ts';
import { beginPractise } from './practise.ts';

/** Presses that only teach: they touch no record, so whoever reads help may make them. */
export function isTeaching(action: string): boolean {
  return /^open:(?:help|learn|practise)(?::|$)/.test(action);
}

/** What help hangs on: the ward's policy, so that it speaks of what the ward has agreed on. */
export async function helpGiven(bot: Bot, wardId: string): Promise<HelpGiven> {
  const { policy } = await bot.deps.record.readWardState(wardId);
  return { wardId, command: bot.command, policy, now: bot.deps.clock.now() };
}

/** Shows the list of verbs, one verb's screen, or begins its practice. */
export async function onTeach(bot: Bot, caller: Caller, action: string, value: ActionValue): Promise<void> {
  const [, what, verb = value.v ?? ''] = action.split(':');
  if (what === 'practise') return beginPractise(bot, caller, verb);
  const given = await helpGiven(bot, caller.wardId);
  if (what === 'help') return show(bot, caller, helpView('help', 'Help', helpList(given).parts));
  const screen = screenOf(verb);
  if (!screen) return caller.say(`That isn’t a verb any more. Type ${bot.command} help for the list.`);
  return show(bot, caller, helpView('learn', screen.title, screenHelp(given, screen).parts));
}

/** A page of help takes the place of another: the platform stacks three views, and practice needs one. */
function show(bot: Bot, caller: Caller, view: Form): Promise<void> {
  const { inView } = caller;
  const isHelp = inView?.page === 'help' || inView?.page === 'learn';
  return inView && isHelp
    ? updateView(bot, inView.id, view)
    : openView(bot, caller, view, 'Help did not open in time. Press once more.');
}
