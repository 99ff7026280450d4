import { z } from 'zod';
import { gauges, hasSide, sides, sites } from '../../domain/line/anatomy.ts';
import { speciesList } from '../../domain/patient/species.ts';
import {
  type FailedTries,
  failedTriesSchema,
  failures,
  mostTries,
} from '../../domain/placing/failed-tries.ts';
import { capital } from '../../wording/care/duty-words.ts';
import { rich } from '../../wording/rich-text.ts';
import { type Form, type FormErrors, type Sent } from '../form.ts';
import { type Part, smallPrint } from '../parts.ts';
import { animalFromWords } from '../typed/animal-words.ts';
import { patientName } from '../typed/clean-text.ts';
import type { PlaceValues } from '../typed/place-values.ts';
import type { Field } from '../verbs/verb.ts';
import { fieldQuestions } from './field-questions.ts';
import { formAbout } from './form-about.ts';
import { formMeta, readMeta, wardIdSchema } from './form-meta.ts';
import {
  fieldsForSpecies,
  placeFields,
  speciesNameField,
  triesField,
  withoutDefaults,
} from './place-fields.ts';
import { animalOf } from './read-place-form.ts';
import { readFields } from './read-view.ts';
import { type StaleForm, staleForm } from './view-state.ts';
import { readWhen, whenQuestions } from './when-questions.ts';

const placing = (id: string) => placeFields.filter((field) => field.id === id);

const fields: readonly Field[] = [
  ...placing('name'),
  ...placing('species'),
  speciesNameField,
  ...placing('site'),
  ...placing('side'),
  { ...triesField('Tries that failed there'), required: true, initial: '1' },
  {
    kind: 'choice',
    id: 'why',
    label: 'What happened, as far as known',
    options: failures.map((value) => ({ value, label: capital(value) })),
  },
  {
    kind: 'choice',
    id: 'gauge',
    label: 'Gauge',
    options: gauges.map((gauge) => ({ value: String(gauge), label: `${gauge} G` })),
  },
  { kind: 'person', id: 'operator', label: 'Who tried', hint: 'Leave empty if it was you.' },
];

/** Where words were typed no artery is chosen that they did not say; a try that failed is one at least. */
const typedFields = fields.flatMap((field) => (field.id === 'tries' ? [field] : withoutDefaults([field])));

const metaSchema = z.object({ ward: wardIdSchema });

/** What the form is opened with; `problems` are plain text. */
export interface AttemptFormGiven {
  wardId: string;
  values?: PlaceValues;
  problems?: readonly string[];
  /** Opened by words: what they did not say has no default. */
  isTyped?: boolean;
  at?: number | undefined;
  now: number;
  zone: string;
}

/** The form for tries that came to no line; its id is `attempt`. */
export function attemptForm(given: AttemptFormGiven): Form {
  const { wardId, values = {}, problems = [], at, now, zone } = given;
  const { gauge, tries, bleeding: _bleeding, transducer: _transducer, ...others } = values;
  const notUnderstood: Part[] =
    problems.length === 0 ? [] : [smallPrint(rich`*Not recorded yet.* ${problems.join(' ')}`)];
  return formAbout({
    id: 'attempt',
    title: 'Attempt failed',
    submit: 'Record tries',
    meta: formMeta({ ward: wardId }),
    parts: [
      ...notUnderstood,
      smallPrint(
        'One artery and one person at a time. If you did get a line in there, record the attempts with the line.',
      ),
      ...fieldQuestions(fieldsForSpecies(given.isTyped ? typedFields : fields, values.species), {
        ...others,
        ...(gauge === undefined ? {} : { gauge: String(gauge) }),
        ...(tries === undefined ? {} : { tries: String(tries) }),
      }),
      ...whenQuestions({ now, zone }, { label: 'Tried', at }),
    ],
  });
}

/** What came back: the tries and when they were; or what is wrong, by question. */
export type AttemptFormRead =
  | { is: 'ok'; wardId: string; tries: FailedTries; at: number }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

const filledSchema = z.object({
  name: z.string(),
  species: z.enum(speciesList),
  speciesName: z.string().optional(),
  site: z.enum(sites),
  side: z.enum(sides).optional(),
  gauge: z.coerce.number().optional(),
  operator: z.string().optional(),
  tries: z.coerce.number().int().min(1).max(mostTries),
  why: z.enum(failures).optional(),
});

/** Reads the form; `user` filled it in. */
export function readAttemptForm(
  form: Sent | null,
  { now, zone, user }: { now: number; zone: string; user: string },
): AttemptFormRead {
  const meta = form && readMeta(metaSchema, form.meta);
  if (!form || !meta) return staleForm;
  const { values, errors } = readFields(fields, form);
  const name = patientName(String(values.name ?? ''));
  if ('problem' in name) errors.name = name.problem;
  const when = readWhen(form, { now, zone });
  if ('errors' in when) Object.assign(errors, when.errors);
  const filled = filledSchema.safeParse(values);
  if (filled.success) {
    const animal = animalFromWords(filled.data.species, filled.data.speciesName);
    if ('problem' in animal) errors.speciesName = animal.problem;
    const problem = sideProblem(filled.data);
    if (problem !== null) errors.side = problem;
  }
  if (!filled.success || 'problem' in name || 'errors' in when || Object.keys(errors).length > 0)
    return Object.keys(errors).length > 0 ? { is: 'wrong', errors } : staleForm;
  const tries = failedTriesOf({ ...filled.data, name: name.name } as FilledIn, user);
  return { is: 'ok', wardId: meta.ward, tries, at: when.at };
}

type FilledIn = PlaceValues & Required<Pick<PlaceValues, 'name' | 'species' | 'site'>>;

/** The tries that words say in full, one where no number was said; or what is still missing. */
export function failedTriesFromWords(
  values: PlaceValues,
  user: string,
): { tries: FailedTries } | { problems: string[] } {
  const { name, species, site } = values;
  const problems = [
    ...(name === undefined ? ['Whose artery? Give the patient’s name.'] : []),
    ...(species === undefined ? ['Which animal is it? Choose the species.'] : []),
    ...(site === undefined ? ['Which artery? Choose the site.'] : []),
  ];
  if (name === undefined || species === undefined || site === undefined) return { problems };
  const side = sideProblem({ site, side: values.side });
  return side === null
    ? { tries: failedTriesOf({ ...values, name, species, site }, user) }
    : { problems: [side] };
}

function sideProblem({
  site,
  side,
}: {
  site: FilledIn['site'];
  side?: FilledIn['side'] | undefined;
}): string | null {
  return hasSide(site) && side === undefined ? `Left or right ${site}? Choose the side.` : null;
}

function failedTriesOf(
  { name, species, speciesName, site, side, gauge, operator, tries, why }: FilledIn,
  user: string,
) {
  return failedTriesSchema.parse({
    patient: { name, ...animalOf({ species, speciesName }) },
    site,
    // A side chosen before the tail was: the tail has none.
    ...(side === undefined || !hasSide(site) ? {} : { side }),
    ...(gauge === undefined ? {} : { gauge }),
    operator: operator ?? user,
    tries: tries ?? 1,
    ...(why === undefined ? {} : { why }),
  });
}
