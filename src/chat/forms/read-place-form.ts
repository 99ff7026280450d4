import { z } from 'zod';
import { isToSeeAgain } from '../../domain/accept/asked-first.ts';
import { placingBackDateMs } from '../../domain/accept/refusal.ts';
import { gauges, hasSide, sides, sites } from '../../domain/line/anatomy.ts';
import { type Species, speciesList } from '../../domain/patient/species.ts';
import { bodySchema, type DraftOf } from '../../domain/record/entry.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { weightProblem } from '../../wording/care/weight-words.ts';
import { type FormErrors, type Sent } from '../form.ts';
import { animalFromWords } from '../typed/animal-words.ts';
import { patientName } from '../typed/clean-text.ts';
import { readMeta } from './form-meta.ts';
import { placeFields, sourceFields, sourceKinds, speciesNameField } from './place-fields.ts';
import { againstScreening, isUndecided, placeMetaSchema, readPlaceScreening } from './place-screening.ts';
import { readFields } from './read-view.ts';
import { type StaleForm, staleForm, userChosen } from './view-state.ts';
import { readWhen } from './when-questions.ts';

/** What came back: the placing, when it happened and a line of the same animal where one was chosen; or what is wrong, by question. */
export type PlaceFormRead =
  | { is: 'ok'; wardId: string; placed: DraftOf<'placed'>['body']; at: number; of?: string }
  | { is: 'wrong'; errors: FormErrors }
  /** Nothing is wrong but that the form must ask for a clinician's decision as well: see `placeFormAnew`. */
  | { is: 'to decide' }
  /** Nothing is wrong but that the heparin is stronger than the ward's, and nobody has looked at the label again. */
  | { is: 'to look again' }
  | StaleForm;

/** What a filled registering form holds, field by field. */
export const filledSchema = z.object({
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
export function readPlaceForm(
  form: Sent | null,
  { ward, now }: { ward: WardState; now: number },
): PlaceFormRead {
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
  return { is: 'ok', wardId: meta.ward, placed, at: when.at, ...of };
}

/** “Other animal” with a word that is in the list means that animal. */
function withAnimal(filled: z.infer<typeof filledSchema>): z.infer<typeof filledSchema> {
  const animal = animalFromWords(filled.species, filled.speciesName);
  return 'animal' in animal ? { ...filled, speciesName: undefined, ...animal.animal } : filled;
}

/** What does not go together, though each field alone is fine. */
function slips(filled: Filled): FormErrors {
  const { site, side, flushMode, sourceKind, volumeMl, rateMlPerH } = filled;
  const errors: FormErrors = {};
  if (filled.transducer === 'no' && flushMode === 'continuous') {
    errors.flushMode =
      'A capped line is flushed by hand: nothing runs into it. Choose Manual, or Pressure transducer above.';
  }
  const animal = animalFromWords(filled.species, filled.speciesName);
  if ('problem' in animal) errors.speciesName = animal.problem;
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
  const animal = animalFromWords(species, speciesName);
  return 'animal' in animal ? animal.animal : { species };
}

function placedBody(filled: Filled): DraftOf<'placed'>['body'] {
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
    // By hand nothing is recorded of the syringe but its heparin.
    ...(isByHand && heparinUPerMl === undefined ? {} : { source }),
    ...(indication === undefined ? {} : { indication }),
    nurse,
    ...(filled.operator === undefined ? {} : { operator: filled.operator }),
    ...(filled.tries === undefined ? {} : { tries: filled.tries }),
  };
}
