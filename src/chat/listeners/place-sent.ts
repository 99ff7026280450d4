import { placeLine } from '../../app/place-line.ts';
import { linesOfAnimal } from '../../domain/animal/animal.ts';
import { isCapped } from '../../domain/level/transducer.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { offWardWords } from '../../wording/care/away-words.ts';
import { capital, doneWords } from '../../wording/care/duty-words.ts';
import { heparinCautionWords } from '../../wording/care/heparin-words.ts';
import { animalWords, clockText, lineWords } from '../../wording/care/line-words.ts';
import { screenedWords } from '../../wording/care/screening-words.ts';
import type { Names } from '../../wording/names.ts';
import { refusalWords } from '../../wording/refusals/refusal-words.ts';
import { rich } from '../../wording/rich-text.ts';
import { actionValue } from '../action-value.ts';
import { putRightButton, unregisterButton } from '../answers/take-back.ts';
import type { Bot, Caller } from '../bot.ts';
import type { Sent } from '../form.ts';
import { placeFormAnew } from '../forms/place-form.ts';
import { readPlaceForm } from '../forms/read-place-form.ts';
import { staleForm } from '../forms/view-state.ts';
import { type WhoseFormRead, whoseForm } from '../forms/whose-form.ts';
import { backButtons, joinButtons } from '../messages/move-buttons.ts';
import { type ButtonOf, buttonRow, paragraph } from '../parts.ts';
import { notRecorded, type Result } from './form-result.ts';
import { ofChosen, wrongPeople } from './placing.ts';
import { testButton } from './press.ts';

/** Takes the registering form: registers the line, or has the form ask for what is missing. */
export async function placeSent(bot: Bot, caller: Caller, ward: WardState, sent: Sent): Promise<Result> {
  const now = bot.deps.clock.now();
  const read = readPlaceForm(sent, { ward, now });
  if (read.is === 'ok') {
    const errors = await wrongPeople(bot, caller, read.placed);
    if (Object.keys(errors).length > 0) return { is: 'wrong', errors };
    const placed = await ofChosen(bot, caller, read.placed, read.of);
    return place(bot, caller, ward, { ...read, placed });
  }
  if (read.is !== 'to decide' && read.is !== 'to look again') return place(bot, caller, ward, read);
  const asks = read.is === 'to decide' ? 'cautions' : 'heparin';
  const form = placeFormAnew(sent, { ward, user: caller.user, now }, asks);
  return form ? { is: 'next', form, where: 'in its place' } : notRecorded(staleForm);
}

/** Registers what a form sent, and says what to do first; or asks whose it is. */
export async function place(bot: Bot, caller: Caller, ward: WardState, read: WhoseFormRead): Promise<Result> {
  if (read.is !== 'ok') return notRecorded(read);
  const { deps, names } = bot;
  const placed = await placeLine(
    deps,
    { wardId: caller.wardId, by: caller.user, via: 'form', at: read.at, once: caller.once },
    read.placed,
  );
  const now = deps.clock.now();
  switch (placed.is) {
    case 'refused': {
      const name = await refusalWords(placed.refusal, null, ward, names, now);
      return { is: 'wrong', errors: { name } };
    }
    case 'occupied':
      return { is: 'wrong', errors: { name: occupiedWords(placed.line, ward, bot.command, now) } };
    case 'whose': {
      const placings = await deps.record.readPlacings(caller.wardId);
      const given = { ward: placed.ward, placed: read.placed, at: read.at, line: placed.line, now };
      const form = whoseForm({ ...given, names: placings.map(({ patient }) => patient.name) });
      return { is: 'next', form, where: 'on top' };
    }
    case 'already':
      return {
        is: 'done',
        afterwards: async () => caller.say(await alreadyWords(placed.line, caller.user, names)),
      };
    case 'placed': {
      const first = await whatToDoFirst(placed.line, caller.wardId, ward.policy, names, now);
      const elsewhere = await offWardWords(placed.line, placed.ward, names, now);
      const text = elsewhere === '' ? first.text : `${first.text} ${elsewhere} Tap which is true.`;
      const buttons = [...first.buttons, ...backButtons(caller.wardId, placed.line)];
      const parts = [paragraph(text), buttonRow(`placed:${placed.line.id}`, buttons)];
      return { is: 'done', afterwards: () => caller.say(text, parts) };
    }
  }
}

function occupiedWords(line: LineState, { policy }: WardState, command: string, now: number): string {
  return `${line.patient.name}, ${animalWords(line)}, has a line there already, placed ${clockText(policy, line.placed.at, now)}. The same animal: take that line out first, put it right (${command} amend), or check site and side here. Another of that name: add something to the name.`;
}

async function alreadyWords(line: LineState, user: string, names: Names): Promise<string> {
  // Two at two phones: what only the second looked at and filled in must not be thought to stand.
  const notAdded =
    line.placed.by === user
      ? ''
      : ' Nothing of your form was added, cautions neither: look at the card, and put right there what differs.';
  return `${await names.of(line.placed.by)} registered that line first: ${lineWords(line)}. It’s recorded once.${notAdded}`;
}

/** What was registered, and what is done with the line first. */
async function whatToDoFirst(
  line: LineState,
  wardId: string,
  policy: WardPolicy,
  names: Names,
  now: number,
): Promise<{ text: string; buttons: ButtonOf[] }> {
  const looked = await screenedWords(line, names, (atMs) => clockText(policy, atMs, now));
  const count = linesOfAnimal(line).length;
  const more =
    count === 1
      ? ''
      : ` ${line.patient.name} has had ${count} lines in this stay: blood, flush fluid and cautions count together.`;
  const heparin = heparinCautionWords(line);
  const caution = heparin === '' ? '' : rich` *${heparin}.*`;
  const registered = `Registered: ${lineWords(line)}.${more} ${capital(looked)}.${caution}`;
  const putRight = [unregisterButton(wardId, line), putRightButton(wardId, line.id, line.placed.entry)];
  if (isCapped(line))
    return {
      text: `${registered} Samples only, capped: nothing to zero or test. Flush it by hand every ${policy.flushEveryMin} min; I’ll remind you.`,
      buttons: [...joinButtons(wardId, line), ...putRight],
    };
  const value = actionValue({ w: wardId, l: line.id });
  return {
    text: `${registered} Now zero and level it, and do a fast-flush test; I’ll ask again in ${policy.atOnceMin} min.`,
    buttons: [
      { action: `done:zero:${line.id}:first`, text: doneWords('zero'), value, primary: true },
      testButton(wardId, line.id),
      ...putRight,
    ],
  };
}
