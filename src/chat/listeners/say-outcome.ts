import { type Outcome, recordOnLines } from '../../app/record-on-lines.ts';
import { type ActionValue, draftCarried } from '../action-value.ts';
import { answerButtons } from '../answers/asked-words.ts';
import { moveAnswerButtons } from '../answers/move-answer-buttons.ts';
import { outcomeWords } from '../answers/outcome-words.ts';
import { withTakeBack } from '../answers/take-back.ts';
import { type Bot, type Caller, sayInPlace } from '../bot.ts';
import { buttonRow } from '../parts.ts';
import { refreshViews } from './show.ts';

/** Says what became of what somebody recorded, with the buttons that answer what is asked of it. `also`: said after it. */
export async function sayOutcome(
  bot: Bot,
  caller: Pick<Caller, 'say'>,
  outcome: Outcome,
  also: readonly string[] = [],
): Promise<void> {
  const words = await outcomeWords(outcome, bot.names, bot.deps.clock.now());
  const text = [words, ...also].filter((one) => one !== '').join('\n');
  const buttons = [...answerButtons(outcome), ...moveAnswerButtons(outcome)];
  const [first] = outcome.results;
  const again = buttons.length === 0 || !first ? [] : [buttonRow(`again:${first.lineId}`, buttons)];
  return caller.say(text, withTakeBack(text, outcome, again));
}

/** A yes to what was asked: recorded as it was sent, with the time at which it was. The question is used up. */
export async function yesPressed(bot: Bot, caller: Caller, value: ActionValue): Promise<void> {
  const draft = value.t && draftCarried(value.t);
  if (!value.l || !value.t || !draft)
    return caller.say('This button is from another version. Nothing was recorded; record it once more.');
  const outcome = await recordOnLines(
    bot.deps,
    { wardId: caller.wardId, by: caller.user, via: 'button', once: caller.once, at: value.t.at },
    [{ lineId: value.l, draft }],
  );
  await sayOutcome(bot, { say: (text, parts) => sayInPlace(caller, text, parts) }, outcome);
  return refreshViews(bot, caller, value.l);
}
