import { z } from 'zod';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import {
  hasTargets,
  longestTargetsMs,
  type PressureKey,
  pressureKeys,
  pressureNames,
  type Targets,
  targetRange,
  targetsInForce,
  wardLimits,
} from '../../domain/reading/targets.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { wallClock, wallClockWithDay } from '../../domain/shifts/wall-clock.ts';
import { hourMs } from '../../domain/time.ts';
import { capital } from '../../wording/care/duty-words.ts';
import { type Form, type FormErrors, type Sent } from '../form.ts';
import { smallPrint } from '../parts.ts';
import { type Question } from '../question.ts';
import { cleanText } from '../typed/clean-text.ts';
import { targetsOf } from '../typed/target-words.ts';
import { reasonProblem } from './cannot-form.ts';
import { formAbout, lineRemark } from './form-about.ts';
import { formMeta, lineIdSchema, readMeta, wardIdSchema } from './form-meta.ts';
import { choiceInput, instantInput, numberInput, textInput } from './questions.ts';
import { instantPicked, optionChosen, type StaleForm, staleForm, textTyped } from './view-state.ts';

const hoursOffered = [4, 8, 12, 24] as const;
const longestReason = 300;
const metaSchema = z.object({ ward: wardIdSchema, line: lineIdSchema });

/** What the form is opened with. */
export interface TargetsFormGiven {
  wardId: string;
  line: LineState;
  policy: WardPolicy;
  now: number;
}

/** The form in which a clinician sets or ends the targets of one line; its id is `targets`. */
export function targetsForm({ wardId, line, policy, now }: TargetsFormGiven): Form {
  const { zone } = policy.shifts;
  const held = targetsInForce(line, now);
  return formAbout({
    id: 'targets',
    title: `Targets: ${line.patient.name}`,
    submit: 'Set targets',
    meta: formMeta({ ward: wardId, line: line.id }),
    parts: [
      lineRemark(line),
      smallPrint(
        'For the clinician on call, or one named in the ward policy. A reading beyond a target goes to the clinician at once. A lowest below the ward’s own turns the ward’s other low limits off while the targets last.',
      ),
      ...(held === null
        ? []
        : [
            choiceInput({
              id: 'what',
              label: 'Targets hold already',
              choices: [
                { value: 'set', label: 'Set these instead' },
                { value: 'end', label: 'End them: the ward’s limits apply' },
              ],
              initial: 'set',
            }),
          ]),
      ...(['mapMmHg', 'sapMmHg', 'dapMmHg'] as const).flatMap((key) => numbersOf(key, policy, held)),
      textInput({
        id: 'reason',
        label: 'Reason',
        maxLength: longestReason,
        multiline: false,
        optional: held !== null,
        initial: held?.reason,
      }),
      choiceInput({
        id: 'for',
        label: 'They hold for',
        choices: hoursOffered.map((hours) => ({
          value: String(hours),
          label: `${hours} h, until ${wallClock(zone, now + hours * hourMs)}`,
        })),
        initial: '8',
      }),
      instantInput({
        id: 'until',
        label: 'Or until this time',
        hint: `Counts instead of the choice above. It is ${wallClock(zone, now)} on the ward’s clock.`,
        optional: true,
      }),
    ],
  });
}

function numbersOf(key: PressureKey, policy: WardPolicy, held: Targets | null): Question[] {
  const ward = wardLimits(policy)[key];
  return (['low', 'high'] as const).map((side) => {
    const limit = ward[side];
    return numberInput({
      id: `${key}.${side}`,
      label: `${capital(pressureNames[key])}: ${side === 'low' ? 'lowest' : 'highest'} (mmHg)`,
      ...(limit === null ? {} : { hint: `The ward’s: ${limit.mmHg}.` }),
      min: targetRange.min,
      max: targetRange.max,
      whole: true,
      optional: true,
      initial: held?.[key]?.[side],
    });
  });
}

/** What came back: the targets or their end; or what is wrong, by question. */
export type TargetsFormRead =
  | { is: 'ok'; wardId: string; lineId: string; targets: Targets; reason: string; until: number }
  | { is: 'ended'; wardId: string; lineId: string }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/** Reads the form. Whether the person may decide is for the record to say. */
export function readTargetsForm(
  form: Sent | null,
  { now, zone }: { now: number; zone: string },
): TargetsFormRead {
  const meta = form && readMeta(metaSchema, form.meta);
  if (!form || !meta) return staleForm;
  const about = { wardId: meta.ward, lineId: meta.line };
  if (optionChosen(form, 'what') === 'end') return { is: 'ended', ...about };
  const errors: FormErrors = {};
  const targets = readTargets(form, errors);
  if (!hasTargets(targets) && Object.keys(errors).length === 0)
    errors['mapMmHg.low'] = 'Give at least one pressure, for example the lowest mean.';
  const reason = cleanText(textTyped(form, 'reason') ?? '');
  const problem = reasonProblem(reason, longestReason, 'head injury');
  if (problem !== null) errors.reason = problem;
  const hours = hoursOffered.find((one) => String(one) === optionChosen(form, 'for')) ?? 8;
  const until = instantPicked(form, 'until') ?? now + hours * hourMs;
  if (until <= now || until > now + longestTargetsMs)
    errors.until = `${wallClockWithDay(zone, until)} can’t be used. Choose a time until ${wallClockWithDay(zone, now + longestTargetsMs)}.`;
  return Object.keys(errors).length > 0
    ? { is: 'wrong', errors }
    : { is: 'ok', ...about, targets, reason, until };
}

function readTargets(form: Sent, errors: FormErrors): Targets {
  const number = (id: string): number | undefined => {
    const typed = textTyped(form, id)?.trim();
    if (typed === undefined) return undefined;
    const value = /^\d{1,3}$/.test(typed) ? Number(typed) : Number.NaN;
    if (value >= targetRange.min && value <= targetRange.max) return value;
    errors[id] = `Give a whole number from ${targetRange.min} to ${targetRange.max} mmHg.`;
    return undefined;
  };
  const one = (key: PressureKey) => {
    const span = { low: number(`${key}.low`), high: number(`${key}.high`) };
    if (span.low !== undefined && span.high !== undefined && span.low >= span.high)
      errors[`${key}.high`] = `The highest must be above the lowest, ${span.low} mmHg.`;
    return span;
  };
  const [sapMmHg, dapMmHg, mapMmHg] = pressureKeys.map(one);
  const none = { low: undefined, high: undefined };
  return targetsOf({ sapMmHg: sapMmHg ?? none, dapMmHg: dapMmHg ?? none, mapMmHg: mapMmHg ?? none });
}
