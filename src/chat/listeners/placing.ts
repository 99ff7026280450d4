import { recordFailedTries, strikeFailedTries, type TriesResult } from '../../app/record-failed-tries.ts';
import { isOfTheSite, namedHere } from '../../domain/animal/animal.ts';
import { patientKey } from '../../domain/patient/patient-key.ts';
import type { FailedTries } from '../../domain/placing/failed-tries.ts';
import type { DraftOf } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { wardNurseFor } from '../../domain/ward/on-call.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { listed } from '../../wording/care/duty-words.ts';
import { clockText, standingCaution } from '../../wording/care/line-words.ts';
import { refusalWords } from '../../wording/refusals/refusal-words.ts';
import { type ActionValue, actionValue } from '../action-value.ts';
import { failedTriesWords } from '../answers/failed-tries-words.ts';
import { type Bot, type Caller, openView, sayInPlace, updateView } from '../bot.ts';
import { type FormErrors } from '../form.ts';
import { attemptForm, failedTriesFromWords, type readAttemptForm } from '../forms/attempt-form.ts';
import type { KnownOfLine } from '../forms/known-of-line.ts';
import { placeForm, placeFormAnew } from '../forms/place-form.ts';
import { type readScreeningForm, screeningForm } from '../forms/screening-form.ts';
import { isOnWard } from '../membership.ts';
import { namedFault } from '../named-person.ts';
import { buttonRow, paragraph, smallPrint } from '../parts.ts';
import { attemptValuesFromWords, placeValuesFromWords } from '../typed/place-words.ts';
import { notRecorded, type Result } from './form-result.ts';

/** Opens the page before a line is registered. */
export async function openScreening(bot: Bot, caller: Caller): Promise<void> {
  const ward = await bot.deps.record.readWardState(caller.wardId);
  return openView(bot, caller, screeningForm(ward));
}

/** A registering form that was opened by words asks for the cautions as well from now on; what stands in it stays. */
export async function screenFirst(bot: Bot, caller: Caller): Promise<void> {
  const { record, clock } = bot.deps;
  const { inView, user } = caller;
  if (!inView) return;
  const ward = await record.readWardState(caller.wardId);
  const form = placeFormAnew(inView.form, { ward, user, now: clock.now() });
  if (form) await updateView(bot, inView.id, form);
}

/** Opens the registering form with what was typed filled in. */
export async function openPlace(bot: Bot, caller: Caller, words: string): Promise<void> {
  const { record, clock } = bot.deps;
  const ward = await record.readWardState(caller.wardId);
  const now = clock.now();
  const typed = placeValuesFromWords(words, { now, zone: ward.policy.shifts.zone });
  const { at } = typed;
  const { nurse, ...result } = typed.values;
  const { values, notes } = await knownHere(bot, caller, ward, result, at ?? now);
  const problems = [...typed.problems, ...typed.notes, ...notes];
  const known = { values, ...(nurse === undefined ? {} : { nurse }), ...(at === null ? {} : { at }) };
  return openView(
    bot,
    caller,
    placeForm({ ward, user: caller.user, known, problems, isTyped: true, screened: 'not yet', now }),
  );
}

/** Opens the registering form for another line of an animal that has one: what is known of the animal is filled in. */
export async function openAnother(bot: Bot, caller: Caller, line: LineState): Promise<void> {
  const { record, clock } = bot.deps;
  const ward = await record.readWardState(caller.wardId);
  const now = clock.now();
  const cautions = line.screening?.cautions.filter((caution) => !isOfTheSite(caution)) ?? [];
  const known: KnownOfLine = {
    values: ofAnimal(line),
    nurse: wardNurseFor(ward, line, now).user,
    of: line.id,
    // None found there says nothing of this artery: it is looked at anew.
    ...(cautions.length > 0 ? { screening: cautions } : {}),
  };
  return openView(bot, caller, placeForm({ ward, user: caller.user, known, screened: 'here', now }));
}

/** A placing with its animal: that of the line `of`, where it was chosen and the form has still its name and species. */
export async function ofChosen(
  { deps }: Bot,
  { wardId }: Caller,
  placed: DraftOf<'placed'>['body'],
  of: string | undefined,
): Promise<DraftOf<'placed'>['body']> {
  const line = of === undefined ? null : await deps.record.readLine(wardId, of);
  if (!line || patientKey(line.patient) !== patientKey(placed.patient)) return placed;
  return { ...placed, animal: line.animal?.id ?? line.recordedAnimal ?? line.id };
}

/** What is known of a line's animal, as the registering form has it. */
function ofAnimal({ patient }: LineState): KnownOfLine['values'] {
  const { name, species, speciesName, weightKg, bleeding } = patient;
  return {
    name,
    species,
    weightKg,
    ...(speciesName === undefined ? {} : { speciesName }),
    ...(bleeding ? { bleeding } : {}),
  };
}

/** What words left out of an animal that is here under this name and species, from its other line, and a note of it. */
async function knownHere(
  { deps }: Bot,
  { wardId }: Caller,
  ward: WardState,
  values: KnownOfLine['values'],
  at: number,
): Promise<{ values: KnownOfLine['values']; notes: string[] }> {
  if (values.name === undefined) return { values, notes: [] };
  const here = namedHere(
    await deps.record.readPlacings(wardId),
    values.name,
    at,
    ward.policy.newStayAfterDays,
  );
  const line = here && (await deps.record.readLine(wardId, here.line));
  if (!line || (values.species ?? line.patient.species) !== line.patient.species)
    return { values, notes: [] };
  const known = { ...ofAnimal(line), ...values };
  const added = [
    ...(values.species === undefined ? ['species'] : []),
    ...(values.weightKg === undefined ? [`weight (${line.patient.weightKg} kg)`] : []),
    ...(values.bleeding === undefined && line.patient.bleeding ? ['bleeding disorder'] : []),
  ];
  if (added.length === 0) return { values, notes: [] };
  const note = `${line.patient.name} is on this ward: ${listed(added)} filled in from its other line.`;
  return { values: known, notes: [note] };
}

/** What is wrong with whom a line is with or who placed it: somebody who could record nothing of it, or the bot itself. */
export async function wrongPeople(
  bot: Bot,
  { wardId }: Caller,
  { nurse, operator }: { nurse: string; operator?: string | undefined },
): Promise<FormErrors> {
  const errors: FormErrors = {};
  if (nurse === bot.userId) errors.nurse = 'I can’t have a line. Choose the nurse who does.';
  else if (!(await isOnWard(bot.membership, wardId, nurse)))
    errors.nurse = `${await bot.names.of(nurse)} isn’t in this channel and couldn’t record anything. Invite them first, or choose somebody else.`;
  else {
    const fault = await namedFault(bot, wardId, nurse);
    if (fault !== null) errors.nurse = fault;
  }
  if (operator === bot.userId) errors.operator = placesNone;
  return errors;
}

/** Said when the bot itself is said to have placed a line, or tried to. */
export const placesNone = 'I can’t place lines. Choose who did, or leave it empty if it was you.';

/** After the screening page comes the registering form. */
export function screened(
  bot: Bot,
  caller: Caller,
  ward: WardState,
  read: ReturnType<typeof readScreeningForm>,
): Result {
  if (read.is !== 'ok') return notRecorded(read);
  const now = bot.deps.clock.now();
  const form = placeForm({ ward, user: caller.user, known: read.known, screened: 'before', now });
  return { is: 'next', form, where: 'on top' };
}

/** Opens the form for tries that came to no line. */
export async function openAttempt(bot: Bot, caller: Caller): Promise<void> {
  const { record, clock } = bot.deps;
  const ward = await record.readWardState(caller.wardId);
  const { zone } = ward.policy.shifts;
  return openView(bot, caller, attemptForm({ wardId: caller.wardId, now: clock.now(), zone }));
}

/** Records tries recorded whole in words; else opens the form with what was understood. */
export async function attemptTyped(bot: Bot, caller: Caller, words: string): Promise<void> {
  if (words.trim() === '') return openAttempt(bot, caller);
  const { record, clock } = bot.deps;
  const ward = await record.readWardState(caller.wardId);
  const { zone } = ward.policy.shifts;
  const now = clock.now();
  const typed = attemptValuesFromWords(words, { now, zone });
  const { at } = typed;
  const { operator, ...others } = typed.values;
  const isBot = operator === bot.userId;
  const values = isBot ? others : typed.values;
  const problems = isBot ? [...typed.problems, placesNone] : typed.problems;
  const read = failedTriesFromWords(values, caller.user);
  const missing = 'problems' in read ? read.problems : [];
  if ('problems' in read || problems.length > 0) {
    const form = attemptForm({
      wardId: caller.wardId,
      values,
      problems: [...problems, ...missing, ...typed.notes],
      isTyped: true,
      at: at ?? undefined,
      now,
      zone,
    });
    return openView(bot, caller, form);
  }
  const result = await recordTries(bot, caller, 'command', read.tries, at ?? undefined);
  if (result.is === 'refused')
    return caller.say(await refusalWords(result.refusal, null, result.view.ward, bot.names, now));
  return answerTries(bot, caller, read.tries, at ?? now, result);
}

/** Records the tries a form sent. */
export async function attemptSent(
  bot: Bot,
  caller: Caller,
  read: ReturnType<typeof readAttemptForm>,
): Promise<Result> {
  if (read.is !== 'ok') return notRecorded(read);
  if (read.tries.operator === bot.userId) return { is: 'wrong', errors: { operator: placesNone } };
  const now = bot.deps.clock.now();
  const result = await recordTries(bot, caller, 'form', read.tries, read.at);
  if (result.is === 'refused') {
    const words = await refusalWords(result.refusal, null, result.view.ward, bot.names, now);
    return { is: 'wrong', errors: { when: words } };
  }
  return { is: 'done', afterwards: () => answerTries(bot, caller, read.tries, read.at, result) };
}

function recordTries(
  bot: Bot,
  caller: Caller,
  via: 'command' | 'form',
  tries: FailedTries,
  at: number | undefined,
): Promise<TriesResult> {
  const { wardId, user, once } = caller;
  return recordFailedTries(
    bot.deps,
    { wardId, by: user, via, once, ...(at === undefined ? {} : { at }) },
    tries,
  );
}

async function answerTries(
  bot: Bot,
  caller: Caller,
  tries: FailedTries,
  at: number,
  result: TriesResult,
): Promise<void> {
  if (result.is === 'repeat' || result.is === 'refused')
    return caller.say('Already recorded; nothing was written twice.');
  if (result.is === 'already') {
    const clock = clockText(result.view.ward.policy, result.first.told, bot.deps.clock.now());
    return caller.say(
      `${await bot.names.of(result.first.by)} already recorded that, ${clock}. It’s recorded once.`,
    );
  }
  const text = await failedTriesWords(tries, at, result.view, bot.names, bot.deps.clock.now());
  const value = actionValue({ w: caller.wardId, v: String(result.number) });
  return caller.say(`${text} ${standingCaution}`, [
    paragraph(text),
    buttonRow(`tries:${result.number}`, [
      { action: 'done:untried', text: 'Recorded by mistake: strike it', value },
    ]),
    smallPrint(standingCaution),
  ]);
}

/** Tries recorded in error count no more; the original stays in the log. */
export async function strikeTries(bot: Bot, caller: Caller, { v }: ActionValue): Promise<void> {
  const target = Number(v);
  if (!Number.isInteger(target) || target < 1) return;
  const { wardId, user, once } = caller;
  const isStruck = await strikeFailedTries(bot.deps, { wardId, by: user, via: 'button', once }, target);
  return sayInPlace(
    caller,
    isStruck
      ? 'Struck out: those attempts no longer count. The original stays in the record.'
      : 'Nothing was written: those tries were struck before, or are older than a day.',
  );
}
