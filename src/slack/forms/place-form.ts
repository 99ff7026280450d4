import type { KnownBlock, ModalView } from '@slack/web-api';
import { z } from 'zod';
import type { Field, Values } from '../../app/verbs/verb.ts';
import { longestName, patientName } from '../../app/words/clean-text.ts';
import { longestIndication, type PlaceValues, placeQuantities } from '../../app/words/place-words.ts';
import { gauges, hasSide, sides, sites } from '../../domain/line/anatomy.ts';
import { speciesList } from '../../domain/patient/species.ts';
import { placingBackDateMs } from '../../domain/record/accept.ts';
import { bodySchema, type TellingOf } from '../../domain/record/entry.ts';
import { limits } from '../limits.ts';
import { escaped } from '../text.ts';
import { fieldBlocks } from './field-blocks.ts';
import { formMeta, readMeta, wardIdSchema } from './form-meta.ts';
import { formView, remark } from './form-view.ts';
import { plain } from './input-blocks.ts';
import { readFields } from './read-view.ts';
import { type FormErrors, type StaleForm, staleForm, submittedView } from './view-state.ts';
import { readWhen, whenBlocks } from './when-blocks.ts';

const speciesLabel = { dog: 'Dog', cat: 'Cat', other: 'Other animal' } as const;
const siteLabel = {
  'dorsal pedal': 'Dorsal pedal',
  'median caudal': 'Median caudal (coccygeal)',
  radial: 'Radial',
  femoral: 'Femoral',
  auricular: 'Auricular',
  lingual: 'Lingual',
} as const;
const sourceKinds = ['pressure bag', 'syringe'] as const;

/** In the order of the cage card and the hand; what is seldom needed stands last. */
const fields: readonly Field[] = [
  { kind: 'text', id: 'name', label: 'Patient', maxLength: longestName, required: true },
  {
    kind: 'choice',
    id: 'species',
    label: 'Species',
    required: true,
    options: speciesList.map((value) => ({ value, label: speciesLabel[value] })),
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
    label: 'With whom',
    required: true,
    hint: 'Reminders name this nurse first.',
  },
];

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

const metaSchema = z.object({ ward: wardIdSchema });

/** What the form is opened with: whatever is known already, and what was typed but not understood. */
export interface PlaceFormGiven {
  wardId: string;
  /** Whoever opens it; the line is with them unless they say otherwise. */
  nurse: string;
  values?: PlaceValues;
  /** Plain text; shown above the fields. */
  problems?: readonly string[];
  at?: number | null;
  now: number;
  zone: string;
}

/** The form that registers a line; `callback_id` is `place`. Nothing is registered before it is sent. */
export function placeForm(given: PlaceFormGiven): ModalView {
  const { now, zone, problems = [] } = given;
  const notUnderstood: KnownBlock[] =
    problems.length === 0 ? [] : [remark(`*From what you typed:* ${problems.map(escaped).join(' ')}`)];
  const known = filledIn(given.values ?? {}, given.nurse);
  return formView({
    callbackId: 'place',
    title: 'Register a line',
    submit: 'Register line',
    meta: formMeta({ ward: given.wardId }),
    blocks: [
      ...notUnderstood,
      ...fieldBlocks(fields, known),
      ...whenBlocks({ now, zone }, { label: 'Placed', at: given.at ?? undefined }),
      { type: 'header', text: plain('Only when flushed continuously', limits.headerText) },
      ...fieldBlocks(sourceFields, known),
    ],
  });
}

function filledIn({ gauge, bleeding, ...others }: PlaceValues, nurse: string): Values {
  return {
    ...others,
    nurse,
    ...(gauge === undefined ? {} : { gauge: String(gauge) }),
    ...(bleeding === true ? { bleeding: ['bleeding'] } : {}),
  };
}

/** What came back: the placing and when it happened; or what is wrong, by block id. */
export type PlaceFormRead =
  | { is: 'told'; wardId: string; placed: TellingOf<'placed'>['body']; at: number }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

const filledSchema = z.object({
  name: z.string(),
  species: z.enum(speciesList),
  weightKg: z.number(),
  site: z.enum(sites),
  side: z.enum(sides).optional(),
  gauge: z.coerce.number().pipe(z.union(gauges.map((gauge) => z.literal(gauge)))),
  flushMode: z.enum(['manual', 'continuous']),
  sourceKind: z.enum(sourceKinds).optional(),
  volumeMl: z.number().optional(),
  rateMlPerH: z.number().optional(),
  pressureMmHg: z.number().optional(),
  bleeding: z.array(z.string()).optional(),
  indication: z.string().optional(),
  nurse: z.string(),
});
type Filled = z.infer<typeof filledSchema>;

/** Reads the registering form. */
export function readPlaceForm(view: unknown, ward: { now: number; zone: string }): PlaceFormRead {
  const form = submittedView(view);
  const meta = form && readMeta(metaSchema, form.meta);
  if (!form || !meta) return staleForm;
  const { values, errors } = readFields([...fields, ...sourceFields], form);
  const name = patientName(String(values.name ?? ''));
  if ('problem' in name) errors.name = name.problem;
  const when = readWhen(form, ward, { backMs: placingBackDateMs });
  if ('errors' in when) Object.assign(errors, when.errors);
  const filled = filledSchema.safeParse(values);
  if (filled.success) Object.assign(errors, slips(filled.data));
  if (!filled.success || 'problem' in name || 'errors' in when || Object.keys(errors).length > 0) {
    return Object.keys(errors).length > 0 ? { is: 'wrong', errors } : staleForm;
  }
  const placed = bodySchema('placed').parse(placedBody({ ...filled.data, name: name.name }));
  return { is: 'told', wardId: meta.ward, placed, at: when.at };
}

/** What does not go together, though each field alone is fine. */
function slips(filled: Filled): FormErrors {
  const { site, side, flushMode, sourceKind, volumeMl, rateMlPerH } = filled;
  const errors: FormErrors = {};
  if (flushMode === 'manual') {
    for (const id of ['volumeMl', 'rateMlPerH', 'pressureMmHg'] as const) {
      if (filled[id] !== undefined)
        errors[id] = 'Flushed by hand there is no source. Leave this empty, or choose Continuous.';
    }
  }
  if (hasSide(site) && side === undefined) errors.side = `Left or right ${site}? Choose the side.`;
  if (flushMode === 'continuous') {
    const why = 'or nobody can be told before it runs out';
    if (sourceKind === undefined) errors.sourceKind = 'Flushed from a pressure bag or a syringe? Choose one.';
    if (volumeMl === undefined) errors.volumeMl = `Give the volume in it, 1 to 3000 mL, ${why}.`;
    if (rateMlPerH === undefined) errors.rateMlPerH = `Give the rate, 0.1 to 50 mL/h, ${why}.`;
  }
  return errors;
}

function placedBody(filled: Filled): TellingOf<'placed'>['body'] {
  const { name, species, weightKg, site, side, gauge, flushMode, indication, nurse } = filled;
  const { sourceKind, volumeMl, rateMlPerH, pressureMmHg } = filled;
  const source = {
    kind: sourceKind ?? 'pressure bag',
    ...(volumeMl === undefined ? {} : { volumeMl }),
    ...(rateMlPerH === undefined ? {} : { rateMlPerH }),
    ...(pressureMmHg === undefined ? {} : { pressureMmHg }),
  } as const;
  return {
    patient: {
      name,
      species,
      weightKg,
      ...(filled.bleeding?.includes('bleeding') ? { bleeding: true } : {}),
    },
    site,
    // A side chosen before the tail was: the tail has none.
    ...(side === undefined || !hasSide(site) ? {} : { side }),
    gauge,
    flushMode,
    ...(flushMode === 'continuous' ? { source } : {}),
    ...(indication === undefined ? {} : { indication }),
    nurse,
  };
}
