import { isDeepStrictEqual } from 'node:util';
import { cautionsFromOthers } from '../../app/cautions-of-animal.ts';
import type { Patient } from '../../domain/patient/patient.ts';
import { speciesList } from '../../domain/patient/species.ts';
import {
  type Caution,
  type Screening,
  withImplied,
  withoutRuledOut,
} from '../../domain/placing/screening.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { mayDecide } from '../../domain/ward/on-call.ts';
import { screeningAmended } from '../../domain/ward/override.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { shorten } from '../../wording/shorten.ts';
import { type FormErrors, type Sent } from '../form.ts';
import { type Part, smallPrint } from '../parts.ts';
import { room } from '../room.ts';
import { cleanText } from '../typed/clean-text.ts';
import type { Values } from '../verbs/verb.ts';
import { reasonProblem } from './cannot-form.ts';
import { cautionsInput, readCautions } from './caution-questions.ts';
import { notTheirs, overrideReasonMax } from './place-screening.ts';
import { personInput, textInput } from './questions.ts';
import { textTyped, userChosen } from './view-state.ts';

/** What speaks against the line as it stands, to tick and untick, and who decided where the ward wants that. */
export function screeningParts({ line, policy }: { line: LineState; policy: WardPolicy }): Part[] {
  const toDecide = policy.overrideFor.join(', ');
  const fromOthers = cautionsFromOthers(line);
  return [
    ...(fromOthers.length === 0
      ? []
      : [
          smallPrint(
            `From this animal’s other line: ${fromOthers.join(', ')}. Untick one here and it’s off for all its lines.`,
          ),
        ]),
    cautionsInput(policy, line.screening?.cautions ?? null, {
      label: 'Correct cautions',
      stands: line.screening !== null,
    }),
    ...(toDecide === '' && !line.screening?.override
      ? []
      : [
          personInput({
            id: 'overrideBy',
            label: 'Clinician who decided to leave it in',
            hint: shorten(
              `The ward wants a decision on: ${toDecide}. If nobody has decided yet, leave it empty and the clinician on call is told.`,
              room.hint,
            ),
            optional: true,
          }),
          textInput({
            id: 'overrideReason',
            label: 'Because',
            maxLength: overrideReasonMax,
            multiline: false,
            optional: true,
          }),
        ]),
  ];
}

/**
 * The screening as it stands after what was ticked, who decided and what was put right of the animal; undefined where
 * nothing of it changes. What is wrong stands beside its own field.
 */
export function screeningGiven(
  form: Sent,
  { species, bleeding }: Values,
  { screening, patient }: LineState,
  { ward, now }: { ward: WardState; now: number },
): Screening | { errors: FormErrors } | undefined {
  const read = readCautions(form, { stands: screening !== null });
  if (read && 'errors' in read) return read;
  const decision = decisionGiven(form, ward, now);
  if (decision && 'errors' in decision) return decision;
  if (!read) {
    return decision
      ? { errors: { cautions: 'Tick what was found, so the decision shows what it was about.' } }
      : undefined;
  }
  const animal = {
    species: speciesList.find((one) => one === species) ?? patient.species,
    bleeding: bleeding === undefined ? patient.bleeding : bleeding === 'yes',
  };
  const isTicked = !screening || !isDeepStrictEqual(read.found, screening.cautions);
  const errors = isTicked ? againstAnimal(read.found, animal) : {};
  if (Object.keys(errors).length > 0) return { errors };
  const isAnimal = species !== undefined || bleeding !== undefined;
  const kept = isTicked || !isAnimal ? read.found : withoutRuledOut(read.found, animal);
  const found = isTicked || isAnimal ? withImplied(kept, animal) : kept;
  const isFound = !screening || !isDeepStrictEqual(found, screening.cautions);
  return isFound || decision ? screeningAmended(ward.policy, screening, found, decision) : undefined;
}

/** What was ticked or unticked and does not fit what is recorded of the animal: one of the two is a slip. */
function againstAnimal(
  found: readonly Caution[],
  { species, bleeding }: Pick<Patient, 'species' | 'bleeding'>,
): FormErrors {
  const errors: FormErrors = {};
  if (found.includes('cat') && species !== 'cat')
    errors.species = 'Cat is ticked as a caution. Choose Cat here, or untick it below.';
  if (found.includes('bleeding disorder') && !bleeding)
    errors.bleeding = 'Bleeding disorder is ticked as a caution. Choose Yes here, or untick it below.';
  if (!found.includes('cat') && species === 'cat')
    errors.cautions = 'A cat counts as found. Tick Cat, or put the species right above.';
  if (!found.includes('bleeding disorder') && bleeding)
    errors.cautions =
      'The animal is recorded with a bleeding disorder, so it counts as found. Tick it, or choose No for it above.';
  return errors;
}

/** Who decided and why, dated now; undefined where neither was filled in. */
function decisionGiven(
  form: Sent,
  ward: WardState,
  now: number,
): NonNullable<Screening['override']> | { errors: FormErrors } | undefined {
  const clinician = userChosen(form, 'overrideBy');
  const reason = cleanText(textTyped(form, 'overrideReason') ?? '');
  if (clinician === undefined)
    return reason === '' ? undefined : { errors: { overrideBy: 'Choose the clinician who decided.' } };
  const problem = reasonProblem(reason, overrideReasonMax, 'pressures needed for vasopressors');
  if (problem !== null) return { errors: { overrideReason: problem } };
  return mayDecide(ward, clinician, now)
    ? { clinician, at: now, reason }
    : { errors: { overrideBy: notTheirs } };
}
