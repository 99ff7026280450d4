import { isDeepStrictEqual } from 'node:util';
import { hasSide, sites } from '../../domain/line/anatomy.ts';
import type { Patient } from '../../domain/patient/patient.ts';
import { speciesList } from '../../domain/patient/species.ts';
import type { EntryOf } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { weightProblem } from '../../wording/care/weight-words.ts';
import { type FormErrors } from '../form.ts';
import { animalFromWords } from '../typed/animal-words.ts';
import { longestName, patientName } from '../typed/clean-text.ts';
import { placeQuantities } from '../typed/place-values.ts';
import type { Field, Values } from '../verbs/verb.ts';
import {
  gaugeOptions,
  purposeOptions,
  sideOptions,
  speciesNameField,
  speciesOptions,
  triesField,
} from './place-fields.ts';

const ofAnimal: readonly Field[] = [
  { kind: 'text', id: 'name', label: 'Correct name', maxLength: longestName },
  {
    kind: 'choice',
    id: 'species',
    label: 'Correct species',
    options: speciesOptions,
  },
  { ...speciesNameField, label: 'Correct animal, if “Other animal”' },
  { ...placeQuantities.weightKg, label: 'Correct weight' },
  {
    kind: 'choice',
    id: 'bleeding',
    label: 'Bleeding disorder',
    hint: 'Found out later, or recorded wrongly: the hold after removal goes by it.',
    options: [
      { value: 'yes', label: 'Yes: longer hold' },
      { value: 'no', label: 'No' },
    ],
  },
];

const ofLine: readonly Field[] = [
  {
    kind: 'choice',
    id: 'site',
    label: 'Correct site',
    options: sites.map((site) => ({ value: site, label: site })),
  },
  {
    kind: 'choice',
    id: 'side',
    label: 'Correct side',
    options: sideOptions,
  },
  {
    kind: 'choice',
    id: 'gauge',
    label: 'Correct gauge',
    options: gaugeOptions,
  },
  {
    kind: 'choice',
    id: 'transducer',
    label: 'Correct: what it was placed for',
    options: purposeOptions,
  },
];

const ofAttempt: readonly Field[] = [
  { kind: 'person', id: 'operator', label: 'Correct person who placed it' },
  triesField('Correct number of attempts, including the successful one'),
];

/** Everything of a placing that may have been recorded wrong, by what it speaks of; what is left empty stays as it is. */
export const placingGroups: readonly { title: string; fields: readonly Field[] }[] = [
  { title: 'The animal', fields: ofAnimal },
  { title: 'The line', fields: ofLine },
  { title: 'Who placed it', fields: ofAttempt },
];

const ofPatient = ['name', 'species', 'speciesName', 'weightKg', 'bleeding'] as const;

/** The placing's values that change; the patient goes whole, since an amendment replaces values one by one. */
export function placingBody(
  values: Values,
  placing: Pick<LineState, 'patient' | 'site' | 'side'>,
  entry: EntryOf<'placed'>,
  errors: FormErrors,
): Record<string, unknown> {
  const body: Record<string, unknown> = {};
  const patient = { ...placing.patient };
  if (typeof values.name === 'string') {
    const name = patientName(values.name);
    if ('problem' in name) errors.name = name.problem;
    else patient.name = name.name;
  }
  if (typeof values.weightKg === 'number') patient.weightKg = values.weightKg;
  amendAnimal(patient, values, errors);
  if (values.bleeding !== undefined) patient.bleeding = values.bleeding === 'yes';
  if (ofPatient.some((id) => values[id] !== undefined)) body.patient = patient;
  if (values.transducer !== undefined) body.transducer = values.transducer === 'yes';
  if (values.gauge !== undefined) body.gauge = Number(values.gauge);
  if (values.operator !== undefined) body.operator = values.operator;
  if (values.tries !== undefined) body.tries = Number(values.tries);
  const site = sites.find((one) => one === values.site) ?? placing.site;
  if (values.site !== undefined) body.site = site;
  if (values.side !== undefined && !hasSide(site))
    errors.side = `A ${site} line has no side. Leave the side empty.`;
  else if (values.side !== undefined) body.side = values.side;
  else if (hasSide(site) && placing.side === null) errors.side = `Left or right ${site}? Choose the side.`;
  return changedOf(body, entry, placing.patient);
}

/** What is recorded as it stands already changes nothing. */
function changedOf(
  body: Record<string, unknown>,
  entry: EntryOf<'placed'>,
  patient: Patient,
): Record<string, unknown> {
  const stood = entry.body as Record<string, unknown>;
  const stands = (key: string, value: unknown) =>
    isDeepStrictEqual(value, stood[key] ?? unsaid[key]) &&
    (key !== 'patient' || isDeepStrictEqual(value, patient));
  return Object.fromEntries(Object.entries(body).filter(([key, value]) => !stands(key, value)));
}

/** What counts where the placing said nothing of it. */
const unsaid: Readonly<Record<string, unknown>> = { transducer: true };

/** Another species takes the word for the animal away with it; what is put right of weight or species must fit the other. */
function amendAnimal(patient: Patient, { species, speciesName, weightKg }: Values, errors: FormErrors): void {
  const isOther = species !== undefined && species !== patient.species;
  if (species !== undefined || speciesName !== undefined) {
    const chosen = speciesList.find((one) => one === species) ?? patient.species;
    const word = typeof speciesName === 'string' ? speciesName : isOther ? undefined : patient.speciesName;
    const stood = animalFromWords(chosen, word);
    if ('problem' in stood) errors.speciesName = stood.problem;
    else {
      delete patient.speciesName;
      Object.assign(patient, stood.animal);
    }
  }
  if (!isOther && weightKg === undefined) return;
  const problem = weightProblem(patient);
  if (problem !== null) errors.weightKg = problem;
}
