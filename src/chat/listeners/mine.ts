import { ownLines } from '../../domain/ward/mine.ts';
import { rich } from '../../wording/rich-text.ts';
import { type Bot, type Caller, openView, updateView } from '../bot.ts';
import { type Form } from '../form.ts';
import { mineParts } from '../messages/mine-list.ts';
import { paragraph } from '../parts.ts';
import { mineView } from '../views/mine-view.ts';

/** Opens what the caller is asked for now, in the menu's place where it was pressed there. */
export async function showMine(bot: Bot, caller: Caller): Promise<void> {
  const page = await minePage(bot, caller);
  return caller.inView?.page === 'menu'
    ? updateView(bot, caller.inView.id, page)
    : openView(bot, caller, page);
}

/** What the caller is asked for, as it is now. */
export async function minePage({ deps, names }: Bot, { wardId, user }: Caller): Promise<Form> {
  const now = deps.clock.now();
  const view = await deps.record.readWard(wardId);
  const own = ownLines(view.ward, view.lines, user, now);
  const parts = await mineParts(own, view, names, now);
  const isNothing = own.every((one) => one.now.length === 0);
  const first = own.length === 0 ? 'You have no lines here now.' : 'Nothing is due on your lines now.';
  return mineView(wardId, [...(isNothing ? [paragraph(rich`*${first}*`)] : []), ...parts]);
}
