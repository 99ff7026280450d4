import { recordOnLines } from '../../app/record-on-lines.ts';
import type { EntryDraft } from '../../domain/record/entry.ts';
import type { ActionValue } from '../action-value.ts';
import { outcomeWords } from '../answers/outcome-words.ts';
import { withTakeBack } from '../answers/take-back.ts';
import { type Bot, type Caller, updateView } from '../bot.ts';
import { dutiesTicked, pageUnder } from '../forms/cannot-form.ts';
import { cannotReason } from '../forms/cannot-reasons.ts';
import { lineVerb } from '../verbs/line-verbs.ts';
import { recordedView } from '../views/recorded-view.ts';
import { beginFault } from './fault.ts';
import { minePage } from './mine.ts';
import { openVerb } from './open-form.ts';
import { refreshUnder } from './show.ts';
import { sortAsked, staleWords } from './stale-press.ts';

/**
 * A usual reason was tapped: told of what is ticked, at once; or, where something else helps more, that opens: the path of a
 * line that looks wrong, the form that says who has the patient.
 */
export async function cannotTapped(bot: Bot, caller: Caller, value: ActionValue): Promise<void> {
  const { deps, names } = bot;
  const reason = cannotReason(value.v);
  const [ward, line] = await Promise.all([
    deps.record.readWardState(caller.wardId),
    value.l ? deps.record.readLine(caller.wardId, value.l) : null,
  ]);
  if (!line || !reason)
    return caller.say('This button is from an older version. Type /artline for the menu.');
  if (reason.leads === 'fault') return beginFault(bot, caller, line, { via: 'button' });
  const moved = reason.leads === 'moved' ? lineVerb('moved') : undefined;
  if (moved) return openVerb(bot, caller, moved, line);
  if (reason.leads === 'moved') return;
  const now = deps.clock.now();
  const ticked = caller.inView ? dutiesTicked(caller.inView.form) : null;
  const { open, stale } = sortAsked(line, ward, value, now);
  const asked = open.filter(
    ([kind, dueAt]) =>
      ticked === null ||
      ticked.some((one) => one.lineId === line.id && one.kind === kind && one.dueAt === dueAt),
  );
  if (asked.length === 0) {
    const nothing = 'Nothing is ticked, so nothing was recorded. Tick what cannot be done, then tap why.';
    return caller.say(stale.length > 0 ? await staleWords(bot, line, ward, stale, now) : nothing);
  }
  const outcome = await recordOnLines(
    deps,
    { wardId: caller.wardId, by: caller.user, via: 'button', once: caller.once },
    asked.map((cannot) => ({
      lineId: line.id,
      draft: { kind: 'noted', body: { text: reason.reason, cannot } } as EntryDraft,
    })),
  );
  const words = await outcomeWords(outcome, names, now);
  if (!caller.inView) return caller.say(words, withTakeBack(words, outcome));
  await updateView(bot, caller.inView.id, recordedView(caller.wardId, words, withTakeBack(words, outcome)));
  return refreshPageUnder(bot, caller, line.id);
}

/** Whoever goes back from the answer must not find the page below as it was before it. */
async function refreshPageUnder(bot: Bot, caller: Caller, lineId: string): Promise<void> {
  const { inView } = caller;
  const under = inView && pageUnder(inView.form);
  if (under === 'line') return refreshUnder(bot, caller, lineId);
  if (under === 'mine' && inView?.previousId)
    return updateView(bot, inView.previousId, await minePage(bot, caller));
}
