import { z } from 'zod';
import { cautions } from '../../domain/placing/screening.ts';
import { type WardPolicy, wardPolicySchema } from '../../domain/policy/ward-policy.ts';
import { mostShifts } from '../../domain/shifts/shift-plan.ts';
import { wallClockWithDay } from '../../domain/shifts/wall-clock.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { cautionRow } from '../../wording/care/screening-words.ts';
import { policyRefusal } from '../../wording/refusals/policy-refusals.ts';
import { person } from '../../wording/rich-text.ts';
import { shorten } from '../../wording/shorten.ts';
import { type Form, type FormErrors, type Sent } from '../form.ts';
import { heading, smallPrint } from '../parts.ts';
import { numbersAsPolicy, numbersOf, type PolicyNumber, policyNumbers } from '../policy-numbers.ts';
import { type Question } from '../question.ts';
import { room } from '../room.ts';
import { cleanText, excerpt } from '../typed/clean-text.ts';
import { formAbout } from './form-about.ts';
import { formMeta, readMeta, wardIdSchema } from './form-meta.ts';
import { readUrgency, urgencyInputs } from './policy-urgency.ts';
import { choiceInput, numberInput, peopleInput, personInput, severalInput, textInput } from './questions.ts';
import {
  optionChosen,
  optionsTicked,
  type StaleForm,
  staleForm,
  textTyped,
  userChosen,
  usersChosen,
} from './view-state.ts';

/** How shifts are written in a form. */
const shiftExample = 'Day 07:00, Night 19:00';
const mostClinicians = 50;

const metaSchema = z.object({
  ward: wardIdSchema,
  version: z.number().int(),
  shifts: z.array(z.string().max(24)).max(mostShifts),
});

/** The whole ward policy in one form, what is changed most at the top; its id is `policy`. */
export function policyForm(ward: WardState, now: number): Form {
  const { policy } = ward;
  const numbers = numbersOf(policy);
  const ask = (group: PolicyNumber['group']): Question[] =>
    policyNumbers
      .filter((number) => number.group === group)
      .map(({ id, label, unit, min, max, whole, hint, mayBeOff }) =>
        numberInput({
          id,
          label: `${label} (${unit})`,
          hint: [hint, `${min} to ${max} ${unit}.`].filter(Boolean).join(' '),
          min,
          max,
          whole,
          initial: numbers[id],
          ...(mayBeOff ? { optional: true } : {}),
        }),
      );
  return formAbout({
    id: 'policy',
    title: 'Ward policy',
    submit: 'Set policy',
    meta: formMeta({
      ward: ward.id,
      version: ward.policyVersion,
      shifts: policy.shifts.shifts.map(({ name }) => name),
    }),
    parts: [
      smallPrint(setBy(ward, now)),
      heading('Flushing, site and dwell'),
      ...ask('care'),
      redressInput(policy),
      heading('Shifts and people'),
      ...shiftInputs(policy),
      heading('Who hears when'),
      ...urgencyInputs(policy),
      ...ask('ladder'),
      heading('After removal, source and set'),
      ...ask('after'),
      heading('Handover and rounds'),
      ...ask('rounds'),
      heading('Audit'),
      personInput({
        id: 'lead',
        label: 'Ward lead',
        hint: 'Sees everybody’s learning curve in the audit; everybody else sees only their own.',
        optional: true,
        initial: policy.lead ?? undefined,
      }),
      ...ask('audit'),
    ],
  });
}

function setBy({ policySet, policy }: WardState, now: number): string {
  const zone = policy.shifts.zone;
  const who = policySet
    ? `Set by ${person(policySet.by)}, ${wallClockWithDay(zone, policySet.at)}.`
    : 'Nobody has set this ward’s policy yet: these are the defaults, common practice and no guideline.';
  return `${who} The ward’s clock shows ${wallClockWithDay(zone, now)}.`;
}

function redressInput(policy: WardPolicy): Question {
  return choiceInput({
    id: 'redressEveryH',
    label: 'Redress every',
    choices: [12, 24].map((hours) => ({ value: String(hours), label: `${hours} h` })),
    initial: String(policy.redressEveryH),
  });
}

/** The ward’s shifts as one field: `day 07:00, night 19:00`. */
export function shiftsInput({ shifts: { shifts } }: WardPolicy): Question {
  return textInput({
    id: 'shifts',
    label: 'Shifts: name and start',
    hint: `1 to ${mostShifts}, with commas between, for example ${shiftExample}.`,
    maxLength: 200,
    multiline: false,
    initial: shifts.map(({ name, startsAt }) => `${name} ${startsAt}`).join(', '),
  });
}

function shiftInputs(policy: WardPolicy): Question[] {
  const { zone, shifts } = policy.shifts;
  return [
    shiftsInput(policy),
    textInput({
      id: 'zone',
      label: 'Time zone of the ward’s clocks',
      hint: 'A place as Area/City, for example Europe/Berlin or America/New_York.',
      maxLength: 60,
      initial: zone,
    }),
    ...shifts.map(({ name }, index) =>
      personInput({
        id: `rota:${index}`,
        label: `On call by rota: ${name}`,
        hint: 'Whoever is put on call by hand in that shift comes before the rota.',
        optional: true,
        initial: policy.rota[name],
      }),
    ),
    peopleInput({
      id: 'clinicians',
      label: 'Clinicians who may decide',
      hint: 'They may answer a dwell question or let a duty go, as may whoever is on call.',
      optional: true,
      initial: policy.clinicians,
      most: mostClinicians,
    }),
    severalInput({
      id: 'overrideFor',
      label: 'Before placing: a clinician decides for',
      hint: 'Asked for when one of these is ticked: who decided, and why. Common practice, no source.',
      optional: true,
      choices: cautions.map((caution) => ({ value: caution, label: cautionRow(caution, policy).label })),
      initial: policy.overrideFor,
    }),
  ];
}

/** What came back: the policy, and the number of the one it was made from; or what is wrong, by question. */
export type PolicyFormRead =
  | { is: 'ok'; wardId: string; basedOn: number; policy: WardPolicy }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/** Reads the policy form. */
export function readPolicyForm(form: Sent | null): PolicyFormRead {
  const meta = form && readMeta(metaSchema, form.meta);
  if (!form || !meta) return staleForm;
  const { numbers, errors } = readNumbers(form);
  const redress = optionChosen(form, 'redressEveryH');
  if (redress !== '12' && redress !== '24')
    errors.redressEveryH = 'Redress every 12 h or every 24 h? Choose one.';
  const shifts = readShifts(textTyped(form, 'shifts') ?? '');
  if ('problem' in shifts) errors.shifts = shifts.problem;
  const hearing = readUrgency(form);
  Object.assign(errors, hearing.errors);
  if (Object.keys(errors).length > 0 || 'problem' in shifts) return { is: 'wrong', errors };
  const given = {
    ...numbersAsPolicy(numbers),
    redressEveryH: Number(redress),
    shifts: { zone: cleanText(textTyped(form, 'zone') ?? ''), shifts: shifts.list },
    clinicians: usersChosen(form, 'clinicians'),
    lead: userChosen(form, 'lead') ?? null,
    ...hearing.policy,
    inCharge: readByShift(form, 'inCharge', shifts.list, meta.shifts),
    overrideFor: optionsTicked(form, 'overrideFor'),
    rota: readByShift(form, 'rota', shifts.list, meta.shifts),
  };
  const parsed = wardPolicySchema.safeParse(given, { reportInput: true });
  if (parsed.success) return { is: 'ok', wardId: meta.ward, basedOn: meta.version, policy: parsed.data };
  for (const issue of parsed.error.issues)
    errors[blockOf(issue.path)] ??= shorten(policyRefusal(issue), room.choiceLabel * 4);
  return { is: 'wrong', errors };
}

/**
 * Who is who in each shift, by the names of the new shifts. A shift keeps its person by name, wherever it stands now; one whose name
 * is new takes over from the shift that stood in its place and is gone.
 */
function readByShift(
  form: Sent,
  id: 'rota' | 'inCharge',
  shifts: readonly { name: string }[],
  namesBefore: readonly string[],
): Record<string, string> {
  const same = (one: string, other: string) => one.toLowerCase() === other.toLowerCase();
  const rota: Record<string, string> = {};
  for (const [index, { name }] of shifts.entries()) {
    const byName = namesBefore.findIndex((before) => same(before, name));
    const before = namesBefore[index];
    const isRenamed = before !== undefined && !shifts.some((shift) => same(shift.name, before));
    const from = byName !== -1 ? byName : isRenamed ? index : -1;
    const user = userChosen(form, `${id}:${from}`);
    if (user !== undefined) rota[name] = user;
  }
  return rota;
}

/** The input that an issue of the policy's schema belongs to. */
function blockOf(path: readonly PropertyKey[]): string {
  const [first, second] = path.map(String);
  if (first === 'shifts') return second === 'zone' ? 'zone' : 'shifts';
  if (first === 'flushGraceMin' || first === 'graceMin') return `${first}.${second ?? 'clinician'}`;
  if (first === 'rota' || first === 'inCharge') return `${first}:0`;
  return first ?? 'shifts';
}

function readNumbers(form: Sent): { numbers: Record<string, number | null>; errors: FormErrors } {
  const numbers: Record<string, number | null> = {};
  const errors: FormErrors = {};
  for (const { id, label, unit, min, max, whole, mayBeOff } of policyNumbers) {
    const typed = textTyped(form, id)?.trim().replace(',', '.');
    const allowed = `Give ${whole ? 'a whole number' : 'a number'} from ${min} to ${max} ${unit}.`;
    if ((typed === undefined || typed === '') && mayBeOff) numbers[id] = null;
    else if (typed === undefined) errors[id] = `${label} is needed. ${allowed}`;
    else if (!/^\d{1,5}(?:\.\d{1,3})?$/.test(typed))
      errors[id] = `“${excerpt(typed, 20)}” cannot be right. ${allowed}`;
    else {
      const number = Number(typed);
      if (number < min || number > max || (whole && !Number.isInteger(number))) {
        errors[id] = `${label}: ${number} ${unit} cannot be right. ${allowed}`;
      } else numbers[id] = number;
    }
  }
  return { numbers, errors };
}

/** Reads shifts as a form takes them: `Day 07:00, Night 19:00`. */
export function readShifts(
  text: string,
): { list: { name: string; startsAt: string }[] } | { problem: string } {
  const parts = text
    .split(/[,;\n]/)
    .map(cleanText)
    .filter((part) => part !== '');
  if (parts.length === 0)
    return { problem: `No shift was given. Write name and start, for example ${shiftExample}.` };
  const list = [];
  for (const part of parts) {
    const match = /^(.+?)[ :]+(\d{1,2}):(\d{2})$/.exec(part);
    if (match === null) {
      return {
        problem: `“${excerpt(part)}” needs a name and a start time. Write it like this: ${shiftExample}.`,
      };
    }
    const [, name = '', hour = '', minute = ''] = match;
    list.push({ name, startsAt: `${hour.padStart(2, '0')}:${minute}` });
  }
  return { list };
}
