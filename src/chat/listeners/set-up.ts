import { setUpWard } from '../../app/set-up-ward.ts';
import { wardZoneSchema } from '../../domain/shifts/shift-plan.ts';
import { onCallAt } from '../../domain/ward/on-call.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { actionValue } from '../action-value.ts';
import { type Bot, type Caller, openView } from '../bot.ts';
import { type FormErrors } from '../form.ts';
import { type SetUpRead, setUpForm } from '../forms/set-up-form.ts';
import { setUpWords } from '../messages/set-up.ts';
import { namedDoubt, namedFault } from '../named-person.ts';
import { buttonRow, paragraph } from '../parts.ts';
import { notRecorded, type Result } from './form-result.ts';
import { cannotBeOnCall } from './on-call.ts';

/** Opens the form that sets a new ward up; of one that is, says what is set and where it is changed. */
export async function openSetUp(bot: Bot, caller: Caller): Promise<void> {
  const { record, clock } = bot.deps;
  const ward = await record.readWardState(caller.wardId);
  const now = clock.now();
  if (ward.policySet) {
    const text = await setUpWords({ ward }, bot.names, now);
    const value = actionValue({ w: ward.id });
    return caller.say(text, [
      paragraph(text),
      buttonRow('setup', [
        { action: 'open:policy', text: 'Ward policy…', value },
        { action: 'open:oncall', text: 'On call…', value },
      ]),
    ]);
  }
  const own = wardZoneSchema.safeParse(await bot.people.zone(caller.user));
  const zone = own.success ? own.data : ward.policy.shifts.zone;
  return openView(bot, caller, setUpForm(ward, { zone, onCall: onCallAt(ward, now), now }));
}

/** Sets the ward up as the form says, unless somebody else did meanwhile. */
export async function setUpSent(
  bot: Bot,
  caller: Caller,
  before: WardState,
  read: SetUpRead,
): Promise<Result> {
  if (read.is !== 'ok') return notRecorded(read);
  const { policy, onCall } = read;
  const now = bot.deps.clock.now();
  const isNew = onCall !== null && onCall !== onCallAt(before, now);
  const errors = await wronglyNamed(bot, caller.wardId, { onCall: isNew ? onCall : null, ...policy });
  if (Object.keys(errors).length > 0) return { is: 'wrong', errors };
  const result = await setUpWard(
    bot.deps,
    { wardId: caller.wardId, by: caller.user, via: 'form', once: caller.once },
    policy,
    isNew ? onCall : null,
  );
  if (result.is === 'not taken' && result.view.ward.policySet?.by !== caller.user)
    return {
      is: 'wrong as a whole',
      message: `Somebody else set this ward up while this form was open. Close it: ${bot.command} setup shows what’s set.`,
    };
  const doubt = onCall === null ? '' : await namedDoubt(bot, onCall);
  return {
    is: 'done',
    afterwards: () => caller.say(`Saved. My message in the channel says what’s set.${doubt}`),
  };
}

/** Those who can't be told anything, by the form's block ids. */
async function wronglyNamed(
  bot: Bot,
  wardId: string,
  { onCall, backup }: { onCall: string | null; backup: string | null },
): Promise<FormErrors> {
  const errors: FormErrors = {};
  if (onCall === bot.userId) errors.onCall = cannotBeOnCall;
  else if (onCall !== null) {
    const fault = await namedFault(bot, wardId, onCall);
    if (fault !== null) errors.onCall = `Not set: ${fault}`;
  }
  if (backup === bot.userId) errors.backup = 'Not set: I can’t be the backup. Choose a person.';
  else if (backup !== null) {
    const fault = await namedFault(bot, wardId, backup);
    if (fault !== null) errors.backup = `Not set: ${fault}`;
  }
  return errors;
}
