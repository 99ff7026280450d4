import { z } from 'zod';
import { nightChoiceOf, wakingOf } from '../../domain/policy/night-choice.ts';
import { type WardPolicy, wardPolicySchema } from '../../domain/policy/ward-policy.ts';
import { wallClockWithDay } from '../../domain/shifts/wall-clock.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { policyRefusal } from '../../wording/refusals/policy-refusals.ts';
import { rich } from '../../wording/rich-text.ts';
import { shorten } from '../../wording/shorten.ts';
import { type Form, type FormErrors, type Sent } from '../form.ts';
import { smallPrint } from '../parts.ts';
import { room } from '../room.ts';
import { cleanText } from '../typed/clean-text.ts';
import { formAbout } from './form-about.ts';
import { formMeta, readMeta, wardIdSchema } from './form-meta.ts';
import { readShifts, shiftsInput } from './policy-form.ts';
import { choiceInput, personInput, textInput } from './questions.ts';
import { optionChosen, type StaleForm, staleForm, textTyped, userChosen } from './view-state.ts';

const metaSchema = z.object({ ward: wardIdSchema });

/**
 * The form that sets a new ward up; its id is `setup`. All of it is filled in but for people, so that it can be saved as
 * it stands. `zone`: of whoever opened it; `onCall`: who is already.
 */
export function setUpForm(
  ward: WardState,
  { zone, onCall, now }: { zone: string; onCall: string | null; now: number },
): Form {
  const { policy } = ward;
  const { from, to } = policy.waking;
  return formAbout({
    id: 'setup',
    title: 'Set this ward up',
    submit: 'Save',
    meta: formMeta({ ward: ward.id }),
    parts: [
      smallPrint(
        rich`These are the usual settings. If they fit, press *Save*; you can change any of it later.`,
      ),
      textInput({
        id: 'zone',
        label: 'Time zone of the ward’s clocks',
        hint: `It’s ${wallClockWithDay(zone, now)} in ${zone}: check it against the clock on the wall. For another zone write Area/City, for example America/New_York.`,
        maxLength: 60,
        initial: zone,
      }),
      shiftsInput(policy),
      personInput({
        id: 'onCall',
        label: 'Clinician on call from now',
        hint: 'Danger goes to this person by direct message. If nobody’s on call, I say so loudly in the channel.',
        optional: true,
        initial: onCall ?? undefined,
      }),
      personInput({
        id: 'backup',
        label: 'Backup',
        hint: 'Told when whoever’s on call doesn’t answer, or nobody’s on call.',
        optional: true,
        initial: policy.backup ?? undefined,
      }),
      choiceInput({
        id: 'night',
        label: `What wakes the clinician from ${to} to ${from}?`,
        hint: 'Danger: a finding, a fault, a cat’s dwell limit, a flush so late that it may clot, a source run dry.',
        choices: [
          { value: 'danger only', label: 'Danger only' },
          { value: 'all late care', label: 'All late care as well' },
        ],
        initial: nightChoiceOf(policy),
      }),
    ],
  });
}

/** What came back: the whole policy, and who is on call from now on; null: nobody was chosen. */
export type SetUpRead =
  | { is: 'ok'; wardId: string; policy: WardPolicy; onCall: string | null }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/** Reads the form; what it does not ask stays as the ward has it. */
export function readSetUpForm(form: Sent | null, ward: WardState): SetUpRead {
  const meta = form && readMeta(metaSchema, form.meta);
  if (!form || !meta) return staleForm;
  const errors: FormErrors = {};
  const shifts = readShifts(textTyped(form, 'shifts') ?? '');
  if ('problem' in shifts) errors.shifts = shifts.problem;
  const night = optionChosen(form, 'night');
  if (night !== 'danger only' && night !== 'all late care')
    errors.night = 'What wakes the clinician at night? Choose one.';
  if ('problem' in shifts || (night !== 'danger only' && night !== 'all late care'))
    return { is: 'wrong', errors };
  const given = {
    ...ward.policy,
    shifts: { zone: cleanText(textTyped(form, 'zone') ?? ''), shifts: shifts.list },
    backup: userChosen(form, 'backup') ?? null,
    waking: wakingOf(night, ward.policy),
  };
  const parsed = wardPolicySchema.safeParse(given, { reportInput: true });
  if (parsed.success)
    return {
      is: 'ok',
      wardId: meta.ward,
      policy: parsed.data,
      onCall: userChosen(form, 'onCall') ?? null,
    };
  for (const issue of parsed.error.issues)
    errors[issue.path[1] === 'zone' ? 'zone' : 'shifts'] ??= shorten(
      policyRefusal(issue),
      room.choiceLabel * 4,
    );
  return { is: 'wrong', errors };
}
