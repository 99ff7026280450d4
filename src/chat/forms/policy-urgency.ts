import { mayBeDanger } from '../../domain/policy/usual-urgency.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import { capital, dutyName } from '../../wording/care/duty-words.ts';
import { type FormErrors, type Sent } from '../form.ts';
import { type Question } from '../question.ts';
import { cleanText, excerpt } from '../typed/clean-text.ts';
import { againForText, againForTyped } from '../typed/policy-words.ts';
import { personInput, severalInput, textInput } from './questions.ts';
import { optionsTicked, textTyped, userChosen } from './view-state.ts';

/** The part of the policy form that says what may wake whom. */
export function urgencyInputs({
  waking,
  questionsAt,
  dangerFor,
  againFor,
  backup,
  inCharge,
  shifts,
}: WardPolicy): Question[] {
  return [
    severalInput({
      id: 'dangerFor',
      label: 'Wakes the clinician as soon as it is due',
      hint: 'Always: a finding, a fault left, a cat’s limit, a flush so late that it may clot, a source run dry.',
      optional: true,
      choices: mayBeDanger.map((kind) => ({ value: kind, label: capital(dutyName(kind)) })),
      initial: dangerFor,
    }),
    textInput({
      id: 'againFor',
      label: 'When a finding comes back',
      hint: 'A line each, for Watch in the handover: no pulse, cold, swelling, ooze or pain, a colon, what your ward does. Empty: call whoever is on call at once.',
      maxLength: 600,
      optional: true,
      multiline: true,
      initial: againForText(againFor),
    }),
    textInput({
      id: 'waking',
      label: 'A clinician is told of other late care from … to',
      hint: 'By the ward’s clock, for example 07:00-22:00. At other hours it comes with a message that is sent anyway.',
      maxLength: 20,
      initial: `${waking.from}-${waking.to}`,
    }),
    textInput({
      id: 'questionsAt',
      label: 'The day’s “still needed?” list at',
      hint: 'One message to whoever is on call, for example 09:00.',
      maxLength: 10,
      initial: questionsAt,
    }),
    personInput({
      id: 'backup',
      label: 'Backup',
      hint: 'Told when whoever is on call doesn’t answer, or nobody is. Empty: the ward lead.',
      optional: true,
      initial: backup ?? undefined,
    }),
    ...shifts.shifts.map(({ name }, index) =>
      personInput({
        id: `inCharge:${index}`,
        label: `Nurse in charge: ${name}`,
        hint: 'Told of late care after the nurse. Empty: the ward lead.',
        optional: true,
        initial: inCharge[name],
      }),
    ),
  ];
}

/** Reads that part; `policy` is what came back, and what it lacks is in `errors`, by question. */
export function readUrgency(form: Sent): { policy: Record<string, unknown>; errors: FormErrors } {
  const errors: FormErrors = {};
  const span = /^(\d{1,2}:\d{2})\s*(?:-|–|to)\s*(\d{1,2}:\d{2})$/.exec(
    cleanText(textTyped(form, 'waking') ?? ''),
  );
  const [from, to] = [wallTime(span?.[1]), wallTime(span?.[2])];
  if (from === null || to === null)
    errors.waking = 'From when to when? Write two times of day, for example 07:00-22:00.';
  const typed = cleanText(textTyped(form, 'questionsAt') ?? '');
  const questionsAt = wallTime(typed);
  if (questionsAt === null)
    errors.questionsAt = `“${excerpt(typed, 20)}” isn’t a time of day. Write one, for example 09:00.`;
  const again = againForTyped(textTyped(form, 'againFor') ?? '');
  if ('problem' in again) errors.againFor = again.problem;
  return {
    policy: {
      dangerFor: optionsTicked(form, 'dangerFor'),
      ...('problem' in again ? {} : { againFor: again.againFor }),
      waking: { from, to },
      questionsAt,
      backup: userChosen(form, 'backup') ?? null,
    },
    errors,
  };
}

/** `7:00` → `07:00`; null where it is no time of day. */
function wallTime(text: string | undefined): string | null {
  const match = /^(\d{1,2}):(\d{2})$/.exec(text ?? '');
  if (!match || Number(match[1]) > 23 || Number(match[2]) > 59) return null;
  return `${(match[1] ?? '').padStart(2, '0')}:${match[2]}`;
}
