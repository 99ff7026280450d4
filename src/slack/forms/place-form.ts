import type { KnownBlock, ModalView } from '@slack/web-api';
import { z } from 'zod';
import type { Field, Values } from '../../app/verbs/verb.ts';
import { animalTold } from '../../app/words/animal-words.ts';
import { longestName, patientName } from '../../app/words/clean-text.ts';
import { longestIndication, placeQuantities } from '../../app/words/place-values.ts';
import { plainNumber } from '../../app/words/quantity-words.ts';
import { minuteMs } from '../../domain/duties/duty.ts';
import { gauges, hasSide, sides, sites } from '../../domain/line/anatomy.ts';
import { weightProblem } from '../../domain/patient/body-weight.ts';
import { animalName, longestSpeciesName, type Species, speciesList } from '../../domain/patient/species.ts';
import { mostTries } from '../../domain/placing/failed-tries.ts';
import { withTold } from '../../domain/placing/screening.ts';
import { placingBackDateMs } from '../../domain/record/accept.ts';
import { isToSeeAgain } from '../../domain/record/asked-first.ts';
import { bodySchema, type TellingOf } from '../../domain/record/entry.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { limits } from '../limits.ts';
import { escaped } from '../text.ts';
import { capital } from '../wording/duty-words.ts';
import { readCautions } from './caution-blocks.ts';
import { fieldBlocks } from './field-blocks.ts';
import { formMeta, readMeta } from './form-meta.ts';
import { formView, remark } from './form-view.ts';
import { plain } from './input-blocks.ts';
import type { KnownOfLine } from './known-of-line.ts';
import { heparinField, strongHeparinBlocks } from './place-heparin.ts';
import {
  againstScreening,
  decisionIn,
  isUndecided,
  placeMetaSchema,
  placeScreeningBlocks,
  readPlaceScreening,
  type ScreenedWhere,
} from './place-screening.ts';
import { readFields } from './read-view.ts';
import {
  type FormErrors,
  instantPicked,
  optionChosen,
  optionsTicked,
  type StaleForm,
  type Submitted,
  staleForm,
  submittedView,
  textTyped,
  userChosen,
} from './view-state.ts';
import { readWhen, whenBlocks } from './when-blocks.ts';

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
const sourceKinds = ['pressure bag', 'syringe'] as const;

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
    options: sides.map((value) => ({ value, label: value === 'left' ? 'Left' : 'Right' })),
  },
  {
    kind: 'choice',
    id: 'gauge',
    label: 'Gauge',
    required: true,
    initial: '22',
    options: gauges.map((gauge) => ({ value: String(gauge), label: `${gauge} G` })),
  },
  {
    kind: 'choice',
    id: 'transducer',
    label: 'What it is for',
    initial: 'yes',
    options: [
      { value: 'yes', label: 'Pressure transducer' },
      { value: 'no', label: 'Samples only, capped' },
    ],
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
  { kind: 'person', id: 'operator', label: 'Who placed it', hint: 'Left empty, it was you.' },
  triesField('Tries, the one that succeeded included'),
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
const sourceFields: readonly Field[] = [
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

/** What the form is opened with: whatever is known already, and what was typed but not understood. */
export interface PlaceFormGiven {
  ward: WardState;
  /** Whoever opens it; the line is with them unless they say otherwise. */
  user: string;
  known?: KnownOfLine;
  /** Plain text; shown above the fields. */
  problems?: readonly string[];
  /**
   * Opened by words: what they did not say is left empty and stands first. By thumb the commonest site, gauge and way of
   * flushing are chosen, to be seen on the way down.
   */
  isTyped?: boolean;
  screened: ScreenedWhere;
  decided?: ReturnType<typeof decisionIn>;
  now: number;
}

const notUnderstoodId = 'place:typed';

/** The form that registers a line; `callback_id` is `place`. Nothing is registered before it is sent. */
export function placeForm(given: PlaceFormGiven): ModalView {
  const { ward, user, now, problems = [] } = given;
  const known = given.known ?? { values: {} };
  const { zone } = ward.policy.shifts;
  const { screening } = known;
  const before = placeScreeningBlocks({ ...given, screening });
  const notUnderstood: KnownBlock[] =
    problems.length === 0
      ? []
      : [
          {
            ...remark(`*From what you typed:* ${problems.map(escaped).join(' ')}`),
            block_id: notUnderstoodId,
          },
        ];
  const values = filledIn(known, user);
  // Nothing above the name must be filled in any more: the cursor may stand in it.
  const isNameFirst = given.screened === 'before' && !before.decide && known.values.name === undefined;
  const asked = fieldsFor(known.values).map((field) =>
    field.kind === 'text' && field.id === 'name' && isNameFirst ? { ...field, focused: true } : field,
  );
  const { missing, rest } = given.isTyped ? missingFirst(asked, known.values) : { missing: [], rest: asked };
  return formView({
    callbackId: 'place',
    title: 'Register a line',
    submit: 'Register line',
    meta: formMeta({
      ward: ward.id,
      ...(given.screened === 'here' ? { here: true } : {}),
      ...(given.screened === 'before' && screening !== undefined ? { screening } : {}),
      ...(before.decide ? { decide: true } : {}),
      ...(given.isTyped ? { typed: true } : {}),
      ...(known.of === undefined ? {} : { of: known.of }),
    }),
    blocks: [
      ...(known.of === undefined ? [] : [remark(anotherLine(known.values.name ?? ''))]),
      ...notUnderstood,
      ...strongHeparinBlocks(known.values, ward.policy, user),
      ...fieldBlocks(missing, values),
      ...(missing.length > 0 ? [remark('*Read from what you typed:* check it.')] : []),
      ...before.blocks,
      ...fieldBlocks(rest, values),
      ...whenBlocks({ now, zone }, { label: 'Placed', at: known.at }),
      { type: 'header', text: plain('Only when flushed continuously', limits.headerText) },
      ...fieldBlocks(sourceFields, values),
    ],
  });
}

function anotherLine(name: string): string {
  return `*Another line for ${escaped(name)}.* Species, weight and cautions come from its other line: check them. Unticking a caution here doesn’t take it off the animal; put the other line right for that.`;
}

/** Dogs and cats take one tap; every other animal is chosen as another and written, unless it was told already. */
const oneTapSpecies: readonly unknown[] = ['dog', 'cat', 'other', undefined];
/** The field of the species, for dog, cat and another animal alone. */
function withFewSpecies(field: Field): Field {
  if (field.id !== 'species' || field.kind !== 'choice') return field;
  return { ...field, options: field.options.filter(({ value }) => oneTapSpecies.includes(value)) };
}

/** The fields as they are for this species: every animal is offered where another than a dog or cat was told. */
export function fieldsForSpecies(fields: readonly Field[], species: unknown): readonly Field[] {
  return oneTapSpecies.includes(species) ? fields.map(withFewSpecies) : fields;
}

/** The word for an animal stands beside its species where there is one to read, else out of the way of dogs and cats. */
function fieldsFor({ species, speciesName }: KnownOfLine['values']): Field[] {
  const fields = fieldsForSpecies(placeFields, species);
  if (species !== 'other' && speciesName === undefined) return [...fields, speciesNameField];
  return fields.flatMap((field) => (field.id === 'species' ? [field, speciesNameField] : [field]));
}

/** Fields as they are asked where words were typed: nothing is chosen that was not said. */
export function withoutDefaults(fields: readonly Field[]): Field[] {
  return fields.map((field) => {
    if (field.kind !== 'choice') return field;
    const { initial: _none, ...without } = field;
    return without;
  });
}

/** What words left out or were not understood of, empty and without a default; the side stands with its artery. */
function missingFirst(
  asked: readonly Field[],
  values: KnownOfLine['values'],
): { missing: Field[]; rest: Field[] } {
  const { site } = values;
  const isMissing = ({ id, required }: Field) => {
    if (id === 'nurse') return false;
    if (id === 'side') return site === undefined || (hasSide(site) && values.side === undefined);
    return required === true && values[id as keyof typeof values] === undefined;
  };
  const bare = withoutDefaults(asked);
  return { missing: bare.filter(isMissing), rest: bare.filter((field) => !isMissing(field)) };
}

function filledIn({ values, nurse }: KnownOfLine, user: string): Values {
  const { gauge, bleeding, tries, transducer, ...others } = values;
  return {
    ...others,
    nurse: nurse ?? user,
    ...(gauge === undefined ? {} : { gauge: String(gauge) }),
    ...(tries === undefined ? {} : { tries: String(tries) }),
    // Where nobody says otherwise it has one: at the worst a zero is asked for that nobody owes.
    transducer: transducer === false ? 'no' : 'yes',
    ...(bleeding === true ? { bleeding: ['bleeding'] } : {}),
  };
}

const notUnderstoodSchema = z.object({
  blocks: z.array(
    z.object({
      block_id: z.string().optional(),
      elements: z
        .array(z.object({ text: z.string() }))
        .optional()
        .catch(undefined),
    }),
  ),
});

/**
 * The same form with what stands in it, right or wrong, that now asks for the cautions itself, and for a clinician's decision
 * where what is ticked needs one; null when `view` is not this form. Its values are given anew, so that none is lost however
 * a client treats a form that changes under its hands. Where it asks about strong heparin, cautions are asked as they were.
 */
export function placeFormAnew(
  view: unknown,
  given: Pick<PlaceFormGiven, 'ward' | 'user' | 'now'>,
  asks: 'cautions' | 'heparin' = 'cautions',
): ModalView | null {
  const form = submittedView(view);
  const meta = form && readMeta(placeMetaSchema, form.meta);
  if (!form || !meta) return null;
  const stands = {
    ...(meta.screening ? { screening: meta.screening } : {}),
    ...(meta.of === undefined ? {} : { of: meta.of }),
    ...standsIn(form, given.now),
  };
  const known = stands.screening
    ? { ...stands, screening: withTold(stands.screening, stands.values) }
    : stands;
  const isTyped = meta.typed === true;
  const asWas = meta.here ? 'here' : meta.screening === undefined ? 'not yet' : 'before';
  const screened = asks === 'cautions' ? 'here' : asWas;
  const anew = placeForm({ ...given, known, screened, decided: decisionIn(form), isTyped });
  const blocks = notUnderstoodSchema.safeParse(view).data?.blocks ?? [];
  const text = blocks.find(({ block_id }) => block_id === notUnderstoodId)?.elements?.[0]?.text;
  if (text === undefined) return anew;
  return { ...anew, blocks: [{ ...remark(text), block_id: notUnderstoodId }, ...anew.blocks] };
}

function standsIn(form: Submitted, now: number): KnownOfLine {
  const { values } = readFields([...placeFields, speciesNameField, ...sourceFields], form);
  const filled = filledSchema.partial().safeParse(values);
  const { nurse, bleeding: _ticked, transducer, ...rest } = filled.success ? filled.data : {};
  const numbers = Object.keys(placeQuantities).flatMap((id) => {
    const number = plainNumber(textTyped(form, id) ?? '');
    return number === null ? [] : [[id, number]];
  });
  const minutesAgo = Number(optionChosen(form, 'when') ?? 0);
  const at = instantPicked(form, 'whenAt') ?? (minutesAgo > 0 ? now - minutesAgo * minuteMs : undefined);
  const cautions = readCautions(form);
  return {
    values: {
      ...(rest as KnownOfLine['values']),
      ...(transducer === undefined ? {} : { transducer: transducer === 'yes' }),
      ...Object.fromEntries(numbers),
      ...(optionsTicked(form, 'bleeding').length > 0 ? { bleeding: true } : {}),
    },
    ...(nurse === undefined ? {} : { nurse }),
    ...(at === undefined ? {} : { at }),
    ...(cautions && 'found' in cautions ? { screening: cautions.found } : {}),
  };
}

/** What came back: the placing, when it happened and a line of the same animal where one was chosen; or what is wrong, by block id. */
export type PlaceFormRead =
  | { is: 'told'; wardId: string; placed: TellingOf<'placed'>['body']; at: number; of?: string }
  | { is: 'wrong'; errors: FormErrors }
  /** Nothing is wrong but that the form must ask for a clinician's decision as well: see `placeFormAnew`. */
  | { is: 'to decide' }
  /** Nothing is wrong but that the heparin is stronger than the ward's, and nobody has looked at the label again. */
  | { is: 'to look again' }
  | StaleForm;

const filledSchema = z.object({
  name: z.string(),
  species: z.enum(speciesList),
  speciesName: z.string().optional(),
  weightKg: z.number(),
  site: z.enum(sites),
  side: z.enum(sides).optional(),
  gauge: z.coerce.number().pipe(z.union(gauges.map((gauge) => z.literal(gauge)))),
  transducer: z.enum(['yes', 'no']).optional(),
  flushMode: z.enum(['manual', 'continuous']),
  sourceKind: z.enum(sourceKinds).optional(),
  volumeMl: z.number().optional(),
  rateMlPerH: z.number().optional(),
  pressureMmHg: z.number().optional(),
  heparinUPerMl: z.number().optional(),
  bleeding: z.array(z.string()).optional(),
  indication: z.string().optional(),
  nurse: z.string(),
  operator: z.string().optional(),
  tries: z.coerce.number().int().optional(),
});
type Filled = z.infer<typeof filledSchema>;

/** Reads the registering form; `ward` as it stands now says who may decide. */
export function readPlaceForm(view: unknown, { ward, now }: { ward: WardState; now: number }): PlaceFormRead {
  const form = submittedView(view);
  const meta = form && readMeta(placeMetaSchema, form.meta);
  if (!form || !meta) return staleForm;
  const { values, errors } = readFields([...placeFields, speciesNameField, ...sourceFields], form);
  const name = patientName(String(values.name ?? ''));
  if ('problem' in name) errors.name = name.problem;
  const when = readWhen(form, { now, zone: ward.policy.shifts.zone }, { backMs: placingBackDateMs });
  if ('errors' in when) Object.assign(errors, when.errors);
  const filled = filledSchema.transform(withAnimal).safeParse(values);
  if (filled.success) Object.assign(errors, slips(filled.data));
  const animal = filled.success
    ? { species: filled.data.species, bleeding: filled.data.bleeding?.includes('bleeding') ?? false }
    : {};
  const screening = readPlaceScreening(form, meta, animal, { ward, now });
  if (screening !== null && 'errors' in screening) Object.assign(errors, screening.errors);
  else if (filled.success) Object.assign(errors, againstScreening(filled.data, screening?.cautions ?? []));
  if (!filled.success || 'problem' in name || 'errors' in when || Object.keys(errors).length > 0) {
    return Object.keys(errors).length > 0 ? { is: 'wrong', errors } : staleForm;
  }
  if (screening !== null && 'cautions' in screening && isUndecided(screening, ward, now))
    return { is: 'to decide' };
  const body = placedBody({ ...filled.data, name: name.name });
  const heparinSeenBy = userChosen(form, 'heparinSeenBy');
  if (body.source && isToSeeAgain(body.source, ward.policy, body.patient.weightKg)) {
    if (heparinSeenBy === undefined) return { is: 'to look again' };
    body.source = { ...body.source, heparinSeenBy };
  }
  const placed = bodySchema('placed').parse({
    ...body,
    ...(screening !== null && 'cautions' in screening ? { screening } : {}),
  });
  const of = meta.of === undefined ? {} : { of: meta.of };
  return { is: 'told', wardId: meta.ward, placed, at: when.at, ...of };
}

/** “Other animal” with a word that is in the list means that animal. */
function withAnimal(filled: z.infer<typeof filledSchema>): z.infer<typeof filledSchema> {
  const told = animalTold(filled.species, filled.speciesName);
  return 'animal' in told ? { ...filled, speciesName: undefined, ...told.animal } : filled;
}

/** What does not go together, though each field alone is fine. */
function slips(filled: Filled): FormErrors {
  const { site, side, flushMode, sourceKind, volumeMl, rateMlPerH } = filled;
  const errors: FormErrors = {};
  if (filled.transducer === 'no' && flushMode === 'continuous') {
    errors.flushMode =
      'A capped line is flushed by hand: nothing runs into it. Choose Manual, or Pressure transducer above.';
  }
  const told = animalTold(filled.species, filled.speciesName);
  if ('problem' in told) errors.speciesName = told.problem;
  const weight = weightProblem(filled);
  if (weight !== null) errors.weightKg = weight;
  if (flushMode === 'manual') {
    for (const id of ['volumeMl', 'rateMlPerH', 'pressureMmHg'] as const) {
      if (filled[id] !== undefined)
        errors[id] = 'Flushed by hand there is no source. Leave this empty, or choose Continuous.';
    }
  }
  if (hasSide(site) && side === undefined) errors.side = `Left or right ${site}? Choose the side.`;
  if (flushMode === 'continuous' && filled.transducer !== 'no') {
    const why = 'or nobody can be warned before it runs out';
    if (sourceKind === undefined) errors.sourceKind = 'Flushed from a pressure bag or a syringe? Choose one.';
    if (volumeMl === undefined) errors.volumeMl = `Give the volume in it, 1 to 3000 mL, ${why}.`;
    if (rateMlPerH === undefined) errors.rateMlPerH = `Give the rate, 0.1 to 50 mL/h, ${why}.`;
  }
  return errors;
}

/** The animal of a form in which nothing is wrong. */
export function animalOf({ species, speciesName }: { species: Species; speciesName?: string | undefined }) {
  const told = animalTold(species, speciesName);
  return 'animal' in told ? told.animal : { species };
}

function placedBody(filled: Filled): TellingOf<'placed'>['body'] {
  const { name, weightKg, site, side, gauge, flushMode, indication, nurse } = filled;
  const { sourceKind, volumeMl, rateMlPerH, pressureMmHg, heparinUPerMl } = filled;
  const isByHand = flushMode === 'manual';
  const source = {
    kind: isByHand ? 'syringe' : (sourceKind ?? 'pressure bag'),
    ...(volumeMl === undefined ? {} : { volumeMl }),
    ...(rateMlPerH === undefined ? {} : { rateMlPerH }),
    ...(pressureMmHg === undefined ? {} : { pressureMmHg }),
    ...(heparinUPerMl === undefined ? {} : { heparinUPerMl }),
  } as const;
  return {
    patient: {
      name,
      ...animalOf(filled),
      weightKg,
      ...(filled.bleeding?.includes('bleeding') ? { bleeding: true } : {}),
    },
    site,
    // A side chosen before the tail was: the tail has none.
    ...(side === undefined || !hasSide(site) ? {} : { side }),
    gauge,
    ...(filled.transducer === 'no' ? { transducer: false } : {}),
    flushMode,
    // By hand nothing is told of the syringe but its heparin.
    ...(isByHand && heparinUPerMl === undefined ? {} : { source }),
    ...(indication === undefined ? {} : { indication }),
    nurse,
    ...(filled.operator === undefined ? {} : { operator: filled.operator }),
    ...(filled.tries === undefined ? {} : { tries: filled.tries }),
  };
}
