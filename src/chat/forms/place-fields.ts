import { gauges, sides, sites } from '../../domain/line/anatomy.ts';
import { longestSpeciesName, speciesList } from '../../domain/patient/species.ts';
import { mostTries } from '../../domain/placing/failed-tries.ts';
import { animalName } from '../../wording/care/animal-names.ts';
import { capital } from '../../wording/care/duty-words.ts';
import { longestName } from '../typed/clean-text.ts';
import { longestIndication, placeQuantities } from '../typed/place-values.ts';
import type { Field } from '../verbs/verb.ts';
import { heparinField } from './place-heparin.ts';

/** The species as every form that asks for it offers them. */
export const speciesOptions = speciesList.map((species) => ({
  value: species,
  label: capital(animalName({ species })),
}));

const siteLabel = {
  'dorsal pedal': 'Dorsal pedal',
  'dorsal metatarsal': 'Dorsal metatarsal',
  'median caudal': 'Median caudal (coccygeal)',
  radial: 'Radial',
  femoral: 'Femoral',
  auricular: 'Auricular',
  lingual: 'Lingual',
  brachial: 'Brachial',
  'median (front leg)': 'Median (front leg)',
  'cranial tibial': 'Cranial tibial',
  facial: 'Facial',
  'transverse facial': 'Transverse facial',
} as const;

/** Left and right, as every form that asks for them offers them. */
export const sideOptions = sides.map((value) => ({ value, label: value === 'left' ? 'Left' : 'Right' }));

/** The gauges, likewise. */
export const gaugeOptions = gauges.map((gauge) => ({ value: String(gauge), label: `${gauge} G` }));

/** What a line is placed for, likewise. */
export const purposeOptions = [
  { value: 'yes', label: 'Pressure transducer' },
  { value: 'no', label: 'Samples only, capped' },
];

/** What a line is flushed from, as the form has it. */
export const sourceKinds = ['pressure bag', 'syringe'] as const;

/** How many tries, as both forms about tries ask it. */
export function triesField(label: string): Field & { kind: 'choice' } {
  const options = Array.from({ length: mostTries }, (_, index) => String(index + 1));
  return { kind: 'choice', id: 'tries', label, options: options.map((value) => ({ value, label: value })) };
}

/** What is asked of every line, in the order of the cage card and the hand; what is seldom needed stands last. */
export const placeFields: readonly Field[] = [
  { kind: 'text', id: 'name', label: 'Patient', maxLength: longestName, required: true },
  {
    kind: 'choice',
    id: 'species',
    label: 'Species',
    required: true,
    options: speciesOptions,
  },
  { ...placeQuantities.weightKg, required: true },
  {
    kind: 'choice',
    id: 'site',
    label: 'Site',
    required: true,
    initial: 'dorsal pedal',
    options: sites.map((value) => ({ value, label: siteLabel[value] })),
  },
  {
    kind: 'choice',
    id: 'side',
    label: 'Side',
    hint: 'Leave empty for tail and tongue only.',
    options: sideOptions,
  },
  {
    kind: 'choice',
    id: 'gauge',
    label: 'Gauge',
    required: true,
    initial: '22',
    options: gaugeOptions,
  },
  {
    kind: 'choice',
    id: 'transducer',
    label: 'What it is for',
    initial: 'yes',
    options: purposeOptions,
  },
  {
    kind: 'choice',
    id: 'flushMode',
    label: 'Flushed',
    hint: 'Continuous asks for its source at the end of this form.',
    required: true,
    initial: 'manual',
    options: [
      { value: 'manual', label: 'Manual, by hand' },
      { value: 'continuous', label: 'Continuous' },
    ],
  },
  heparinField,
  {
    kind: 'several',
    id: 'bleeding',
    label: 'Bleeding',
    options: [{ value: 'bleeding', label: 'Bleeding disorder: longer hold after removal' }],
  },
  { kind: 'text', id: 'indication', label: 'Why it was placed', maxLength: longestIndication },
  {
    kind: 'person',
    id: 'nurse',
    label: 'Responsible nurse',
    required: true,
    hint: 'Reminders name this nurse first.',
  },
  { kind: 'person', id: 'operator', label: 'Who placed it', hint: 'Leave empty if it was you.' },
  triesField('Attempts, including the successful one'),
];

/** What an animal is that is not in the list, or a word that says more than the list: a pony. */
export const speciesNameField: Field = {
  kind: 'text',
  id: 'speciesName',
  label: 'Which animal, if “Other animal”',
  hint: 'For example rabbit, ferret, foal or alpaca.',
  maxLength: longestSpeciesName,
};

/** What continuous flushing needs besides: out of the way of the many lines flushed by hand. */
export const sourceFields: readonly Field[] = [
  {
    kind: 'choice',
    id: 'sourceKind',
    label: 'Flushed from',
    options: [
      { value: 'pressure bag', label: 'Pressure bag' },
      { value: 'syringe', label: 'Syringe pump' },
    ],
  },
  { ...placeQuantities.volumeMl, label: 'Volume in it' },
  { ...placeQuantities.rateMlPerH, label: 'Rate' },
  { ...placeQuantities.pressureMmHg, label: 'Bag pressure' },
];

/** Dogs and cats take one tap; every other animal is chosen as another and written, unless it was recorded already. */
const oneTapSpecies: readonly unknown[] = ['dog', 'cat', 'other', undefined];

/** The field of the species, for dog, cat and another animal alone. */
function withFewSpecies(field: Field): Field {
  if (field.id !== 'species' || field.kind !== 'choice') return field;
  return { ...field, options: field.options.filter(({ value }) => oneTapSpecies.includes(value)) };
}

/** The fields as they are for this species: every animal is offered where another than a dog or cat was chosen. */
export function fieldsForSpecies(fields: readonly Field[], species: unknown): readonly Field[] {
  return oneTapSpecies.includes(species) ? fields.map(withFewSpecies) : fields;
}

/** Fields as they are asked where words were typed: nothing is chosen that was not said. */
export function withoutDefaults(fields: readonly Field[]): Field[] {
  return fields.map((field) => {
    if (field.kind !== 'choice') return field;
    const { initial: _none, ...without } = field;
    return without;
  });
}
