import { recordOnLines } from '../../app/record-on-lines.ts';
import { targetsLine } from '../../domain/animal/animal.ts';
import type { EntryDraft } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { mayDecide } from '../../domain/ward/on-call.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { type Bot, type Caller, openView } from '../bot.ts';
import { targetsForm } from '../forms/targets-form.ts';
import { targetsFromWords } from '../typed/target-words.ts';
import { sayOutcome } from './say-outcome.ts';

const notTheirs =
  'Only the clinician on call, or a clinician named in the ward policy, sets targets. /artline oncall shows who is on call. Nothing was recorded.';

/** Opens the form in which a clinician sets a line's targets; to anybody else it says who may. */
export async function openTargets(bot: Bot, caller: Caller, line: LineState, ward: WardState): Promise<void> {
  const now = bot.deps.clock.now();
  if (line.removed) return caller.say('The line is out, so targets no longer apply.');
  if (!mayDecide(ward, caller.user, now)) return caller.say(notTheirs);
  return openView(bot, caller, targetsForm({ wardId: caller.wardId, line, policy: ward.policy, now }));
}

/** What was typed after the patient's name. */
export async function targetsTyped(
  bot: Bot,
  caller: Caller,
  line: LineState,
  rest: string,
  ward: WardState,
): Promise<void> {
  const { zone } = ward.policy.shifts;
  const example = `${bot.command} targets ${line.patient.name} map 60-80 until 06:00 reason head injury, or ${bot.command} targets ${line.patient.name} end.`;
  const read = targetsFromWords(rest, { now: bot.deps.clock.now(), zone }, example);
  switch (read.is) {
    case 'form':
      return openTargets(bot, caller, line, ward);
    case 'wrong':
      return caller.say(`Not recorded. ${read.message}`);
    case 'end':
      return record(bot, caller, { ...line, id: targetsLine(line) }, { kind: 'targetsEnded', body: {} });
    case 'ok': {
      const { targets, reason, until } = read;
      return record(bot, caller, line, { kind: 'targetsSet', body: { ...targets, reason, until } });
    }
  }
}

async function record(
  bot: Bot,
  caller: Caller,
  line: Pick<LineState, 'id'>,
  draft: EntryDraft,
): Promise<void> {
  const outcome = await recordOnLines(
    bot.deps,
    { wardId: caller.wardId, by: caller.user, via: 'command', once: caller.once },
    [{ lineId: line.id, draft }],
  );
  return sayOutcome(bot, caller, outcome);
}
