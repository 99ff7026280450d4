import { answerFault } from '../../app/answer-fault.ts';
import type { Intent } from '../../app/decide-drafts.ts';
import { type Outcome, recordOnLines } from '../../app/record-on-lines.ts';
import type { FaultSign } from '../../domain/fault/fault-questions.ts';
import { openFault } from '../../domain/fold/fold-faults.ts';
import type { EntryDraft } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { afterSampleWords } from '../../wording/care/blood-words.ts';
import { clockText } from '../../wording/care/line-words.ts';
import { inErrorWords, refusalWords } from '../../wording/refusals/refusal-words.ts';
import type { ActionValue } from '../action-value.ts';
import { outcomeWords } from '../answers/outcome-words.ts';
import { takeBackButton } from '../answers/take-back.ts';
import { type Bot, type Caller, openView, updateView } from '../bot.ts';
import { type Form } from '../form.ts';
import { type ButtonOf } from '../parts.ts';
import { faultChoiceView } from '../views/fault-view.ts';
import { faultPage, refreshUnder } from './show.ts';

/** What the caller wants: a sign recorded with its time, the choice of one, or to go on where the path stands. */
interface Wanted {
  sign?: FaultSign | undefined;
  at?: number | undefined;
  choose?: boolean;
  via: 'command' | 'button';
}

/** Opens a fault's path, or goes on with it where it was left. Without a sign and with nothing open, asks which. */
export async function beginFault(bot: Bot, caller: Caller, line: LineState, wanted: Wanted): Promise<void> {
  const { record, clock } = bot.deps;
  const ward = await record.readWardState(caller.wardId);
  const now = clock.now();
  const { removed, inError } = line;
  if (inError) return caller.say(await inErrorWords(inError, line, ward, bot.names, now));
  if (removed) {
    const refusal = { because: 'line out', removedAt: removed.at, by: removed.by } as const;
    return caller.say(await refusalWords(refusal, line, ward, bot.names, now));
  }
  const standing = line.faults.findLast(({ closedAt }) => closedAt === null)?.sign;
  const sign = wanted.sign ?? (wanted.choose ? undefined : standing);
  if (sign === undefined) {
    const clockOf = (atMs: number) => clockText(ward.policy, atMs, now);
    return show(bot, caller, faultChoiceView({ wardId: caller.wardId, line, clock: clockOf }), false);
  }
  let after = line;
  let back: ButtonOf | null = null;
  if (!openFault(line, sign)) {
    const outcome = await recordOne(
      bot,
      caller,
      wanted.via,
      line.id,
      { kind: 'faultOpened', body: { sign } },
      wanted.at,
    );
    if (outcome.results.some(({ is }) => is === 'refused' || is === 'no such line'))
      return caller.say(await outcomeWords(outcome, bot.names, now));
    after = await lineAfter(bot, caller, outcome, line);
    back = takeBackButton(outcome, sign);
  }
  await show(bot, caller, await faultPage(bot, ward, after, sign, { back }), true);
  await refreshUnder(bot, caller, line.id);
}

/** A press on a fault's page: an answer, or one of the two ways out. */
export async function faultPressed(
  bot: Bot,
  caller: Caller,
  what: 'answer' | 'solved' | 'left',
  value: ActionValue,
): Promise<void> {
  const { record, clock } = bot.deps;
  const line = value.l ? await record.readLine(caller.wardId, value.l) : null;
  if (!line || !value.q) return caller.say('This line isn’t on this ward’s record. Nothing was written.');
  const [sign, step, answer] = value.q;
  const intent: Intent = { wardId: caller.wardId, by: caller.user, via: 'button', once: caller.once };
  const outcome =
    what === 'answer' && step !== undefined && answer !== undefined
      ? await answerFault(bot.deps, intent, line.id, sign, { step, answer })
      : await recordOne(bot, caller, 'button', line.id, {
          kind: 'faultClosed',
          body: { resolved: what === 'solved', sign },
        });
  const now = clock.now();
  const after = await lineAfter(bot, caller, outcome, line);
  const [first] = outcome.results;
  const remark =
    first?.is === 'refused'
      ? await refusalWords(first.refusal, after, outcome.ward, bot.names, now)
      : bledWords(outcome, after, now);
  const back = takeBackButton(outcome, sign);
  await show(bot, caller, await faultPage(bot, outcome.ward, after, sign, { remark, back }), true);
  await refreshUnder(bot, caller, line.id);
}

/** What the animal has lost in all, where the answer says that blood was lost. */
function bledWords({ results, ward }: Outcome, line: LineState, now: number): string | undefined {
  const bled = results.some(
    (one) => one.is === 'taken' && one.entry.kind === 'disturbed' && (one.entry.body.bloodLostMl ?? 0) > 0,
  );
  return bled ? afterSampleWords(line, ward.policy, now) : undefined;
}

function recordOne(
  bot: Bot,
  caller: Caller,
  via: Wanted['via'],
  lineId: string,
  draft: EntryDraft,
  at?: number,
): Promise<Outcome> {
  const intent: Intent = {
    wardId: caller.wardId,
    by: caller.user,
    via,
    once: caller.once,
    ...(at === undefined ? {} : { at }),
  };
  return recordOnLines(bot.deps, intent, [{ lineId, draft }]);
}

/** The line as it stands after what was recorded; read anew where this very press was written before. */
async function lineAfter(bot: Bot, caller: Caller, outcome: Outcome, before: LineState): Promise<LineState> {
  if (!outcome.repeat) return outcome.lines.get(before.id) ?? before;
  return (await bot.deps.record.readLine(caller.wardId, before.id)) ?? before;
}

/** Draws a page of a fault in the view it was pressed in, else opens it. */
async function show(bot: Bot, caller: Caller, view: Form, isRecorded: boolean): Promise<void> {
  const { inView } = caller;
  if (inView?.page === 'fault') return updateView(bot, inView.id, view);
  return openView(
    bot,
    caller,
    view,
    isRecorded
      ? 'It is recorded, but the page did not open in time. Press or type it once more to go on.'
      : undefined,
  );
}
