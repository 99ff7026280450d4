import { isDeepStrictEqual } from 'node:util';
import type { KnownBlock, ModalView } from '@slack/web-api';
import { z } from 'zod';
import type { Field, Values } from '../../app/verbs/verb.ts';
import { animalTold } from '../../app/words/animal-words.ts';
import { cleanText, longestName, patientName } from '../../app/words/clean-text.ts';
import { placeQuantities } from '../../app/words/place-values.ts';
import { hourMs } from '../../domain/duties/duty.ts';
import { gauges, hasSide, sides, sites } from '../../domain/line/anatomy.ts';
import { weightProblem } from '../../domain/patient/body-weight.ts';
import type { Patient } from '../../domain/patient/patient.ts';
import { speciesList } from '../../domain/patient/species.ts';
import { screeningAmended } from '../../domain/placing/override.ts';
import { type Caution, type Screening, withoutUntold, withTold } from '../../domain/placing/screening.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import { checkTime, placingBackDateMs } from '../../domain/record/accept.ts';
import { type EffectiveEntry, effectiveEntries } from '../../domain/record/effective-entries.ts';
import {
  bodySchema,
  type Entry,
  type EntryKind,
  entryKinds,
  type TellingOf,
} from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { wallClock, wallClockWithDay } from '../../domain/shifts/wall-clock.ts';
import { mayDecide } from '../../domain/ward/on-call.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { tellingWords } from '../answers/entry-words.ts';
import { limits, shorten } from '../limits.ts';
import { reasonProblem } from './cannot-form.ts';
import { cautionsInput, readCautions } from './caution-blocks.ts';
import { fieldBlocks } from './field-blocks.ts';
import { formMeta, lineIdSchema, readMeta, wardIdSchema } from './form-meta.ts';
import { formView, lineRemark, remark } from './form-view.ts';
import { choiceInput, instantInput, personInput, textInput } from './input-blocks.ts';
import { speciesNameField, speciesOptions, triesField } from './place-form.ts';
import { notTheirs, overrideReasonMax } from './place-screening.ts';
import { readFields } from './read-view.ts';
import {
  type FormErrors,
  instantPicked,
  optionChosen,
  type StaleForm,
  type Submitted,
  staleForm,
  submittedView,
  textTyped,
  userChosen,
} from './view-state.ts';

/** Entries offered, the latest first; the placing is always among them. */
const mostOffered = 20;

/** What the bot wrote, what only moved a reminder, and amendments themselves are not a person's to put right here. */
const notOffered: readonly EntryKind[] = ['nudged', 'escalated', 'amended', 'claimed', 'snoozed'];

const strikeField: Field = {
  kind: 'text',
  id: 'strike',
  label: 'Or strike it out, because',
  maxLength: 300,
  hint: 'It then counts no more; it stays in the record with your reason.',
};

const placingFields: readonly Field[] = [
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
    hint: 'Known only now, or told in error: the hold after removal goes by it.',
    options: [
      { value: 'yes', label: 'Yes: longer hold' },
      { value: 'no', label: 'No' },
    ],
  },
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
    options: sides.map((side) => ({ value: side, label: side === 'left' ? 'Left' : 'Right' })),
  },
  {
    kind: 'choice',
    id: 'gauge',
    label: 'Correct gauge',
    options: gauges.map((gauge) => ({ value: String(gauge), label: `${gauge} G` })),
  },
  {
    kind: 'choice',
    id: 'transducer',
    label: 'Correct: what it was placed for',
    options: [
      { value: 'yes', label: 'Pressure transducer' },
      { value: 'no', label: 'Samples only, capped' },
    ],
  },
  { kind: 'person', id: 'operator', label: 'Correct person who placed it' },
  triesField('Correct tries, the one that succeeded included'),
];

const metaSchema = z.object({ ward: wardIdSchema, line: lineIdSchema });

/** What the form is opened with. `nameOf` gives a person's display name as plain text, where it is known. */
export interface AmendFormGiven {
  wardId: string;
  line: LineState;
  log: readonly Entry[];
  now: number;
  policy: WardPolicy;
  /** The entry it opens at, by its number; else the latest that `user` told. */
  chosen?: number | undefined;
  user?: string;
  nameOf?: (user: string) => string | undefined;
}

/** The form that puts an entry right: a new time, a strike with a reason, or the placing's details; `callback_id` is `amend`. */
export function amendForm(given: AmendFormGiven): ModalView {
  const { wardId, line, log } = given;
  const offered = amendable(log);
  const meant =
    offered.find(({ number }) => number === given.chosen) ??
    offered.find(({ entry }) => entry.by === given.user);
  const entries: KnownBlock = choiceInput({
    id: 'entry',
    label: 'Which entry is wrong',
    mostRadios: 0,
    initial: meant === undefined ? undefined : `${meant.number} ${meant.entry.kind}`,
    choices: offered.map(({ number, entry }) => ({
      value: `${number} ${entry.kind}`,
      label: entryText(entry, given),
    })),
  });
  return formView({
    callbackId: 'amend',
    title: `Amend: ${line.patient.name}`,
    submit: 'Put it right',
    meta: formMeta({ ward: wardId, line: line.id }),
    blocks: [
      lineRemark(line),
      entries,
      instantInput({
        id: 'at',
        label: 'It happened at',
        hint: 'Leave empty when the time told was correct.',
        optional: true,
      }),
      ...fieldBlocks([strikeField]),
      remark(
        'A wrong number: strike the entry out and tell it again with its time.\n*When the placing is the wrong entry,* fill in only what was wrong:',
      ),
      ...fieldBlocks(placingFields),
      ...screeningBlocks(given),
    ],
  });
}

/** What speaks against the line as it stands, to tick and untick, and who decided where the ward wants that. */
function screeningBlocks({ line, policy }: AmendFormGiven): KnownBlock[] {
  const toDecide = policy.overrideFor.join(', ');
  return [
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
              `The ward wants a decision on: ${toDecide}. Nobody decided yet: leave it empty, and the clinician on call is told.`,
              limits.hint,
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

/** The entries of a log that may be put right, the latest first. */
function amendable(log: readonly Entry[]): EffectiveEntry[] {
  const all = effectiveEntries(log).filter(({ entry }) => !notOffered.includes(entry.kind));
  const placing = all.filter(({ entry }) => entry.kind === 'placed');
  const others = all.filter(({ entry }) => entry.kind !== 'placed').slice(1 - mostOffered);
  return [...placing, ...others].reverse();
}

function entryText(entry: Entry, { line, now, policy, nameOf }: AmendFormGiven): string {
  const { zone } = policy.shifts;
  const name = nameOf?.(entry.by);
  const today = Math.abs(entry.at - now) < 12 * hourMs;
  const clock = today ? wallClock(zone, entry.at) : wallClockWithDay(zone, entry.at);
  return `${clock} ${tellingWords(entry, line)}${name === undefined ? '' : ` by ${name}`}`;
}

/** What came back: the amendment of one line; or what is wrong, by block id. */
export type AmendFormRead =
  | { is: 'told'; wardId: string; lineId: string; telling: TellingOf<'amended'> & { kind: 'amended' } }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/** The line a sent form is about; null when it is not ours or from another version. */
export function amendedLineId(view: unknown): string | null {
  const form = submittedView(view);
  return (form && readMeta(metaSchema, form.meta))?.line ?? null;
}

/** Reads the form; `line` as it stands now is what the placing's details are compared with. */
export function readAmendForm(
  view: unknown,
  { ward, now }: { ward: WardState; now: number },
  line: LineState,
): AmendFormRead {
  const form = submittedView(view);
  const meta = form && readMeta(metaSchema, form.meta);
  if (!form || !meta || meta.line !== line.id) return staleForm;
  const target = targetOf(optionChosen(form, 'entry'));
  if (target === null) return { is: 'wrong', errors: { entry: 'Choose the entry that is wrong.' } };
  const isPlacing = target.kind === 'placed';
  const { values, errors } = readFields([strikeField, ...placingFields], form);
  const at = instantPicked(form, 'at');
  const strike = typeof values.strike === 'string' ? values.strike : undefined;
  if (at !== undefined)
    Object.assign(errors, timeErrors(at, isPlacing, line.placed.at, { now, zone: ward.policy.shifts.zone }));
  if (strike !== undefined) Object.assign(errors, strikeErrors(strike, isPlacing, at));
  const screening = screeningTold(form, values, line, { ward, now });
  const told = isPlacing ? placingBody(values, line, errors) : undefined;
  if (isPlacing && screening && 'errors' in screening) Object.assign(errors, screening.errors);
  const body = isPlacing && screening && !('errors' in screening) ? { ...told, screening } : told;
  if (!isPlacing) {
    if (screening)
      errors.cautions = 'This belongs to the placing. Choose the placing above, or put it back as it was.';
    for (const { id } of placingFields) {
      if (values[id] !== undefined)
        errors[id] = 'This belongs to the placing. Choose the placing above, or leave it empty.';
    }
  }
  if (at === undefined && strike === undefined && body === undefined && Object.keys(errors).length === 0) {
    errors.entry =
      'Nothing is changed yet. Give a new time, a reason to strike it out, or the placing’s details.';
  }
  if (Object.keys(errors).length > 0) return { is: 'wrong', errors };
  const amended = bodySchema('amended').parse({
    target: target.number,
    ...(at === undefined ? {} : { at }),
    ...(strike === undefined ? {} : { strike }),
    ...(body === undefined ? {} : { body }),
  });
  return { is: 'told', wardId: meta.ward, lineId: meta.line, telling: { kind: 'amended', body: amended } };
}

function targetOf(chosen: string | undefined): { number: number; kind: EntryKind } | null {
  const [digits = '', name] = (chosen ?? '').split(' ');
  const kind = entryKinds.find((one) => one === name);
  return /^[1-9]\d{0,6}$/.test(digits) && kind !== undefined ? { number: Number(digits), kind } : null;
}

function timeErrors(
  at: number,
  isPlacing: boolean,
  placedAt: number,
  { now, zone }: { now: number; zone: string },
): FormErrors {
  const clock = (atMs: number) => wallClockWithDay(zone, atMs);
  const refusal = checkTime(at, now, ...(isPlacing ? [placingBackDateMs] : []));
  if (refusal?.because === 'in the future') {
    return {
      at: `${clock(at)} is still to come; the ward’s clock shows ${clock(now)}. Give a time that has been.`,
    };
  }
  if (refusal?.because === 'too long ago') {
    return {
      at: `${clock(at)} is too long ago. The earliest taken is ${clock(refusal.earliest)}. Give a later time.`,
    };
  }
  if (!isPlacing && at < placedAt) {
    return {
      at: `${clock(at)} is before the line was placed, ${clock(placedAt)}. Give a later time, or amend the placing.`,
    };
  }
  return {};
}

function strikeErrors(strike: string, isPlacing: boolean, at: number | undefined): FormErrors {
  if (isPlacing)
    return {
      strike:
        'The placing cannot be struck out. If the line is out, tell it as removed; if a detail is wrong, give it below.',
    };
  if (at !== undefined) return { strike: 'Either a new time or a strike. Empty one of them.' };
  const problem = reasonProblem(strike, 300, 'told for the wrong patient');
  return problem === null ? {} : { strike: problem };
}

const ofPatient = ['name', 'species', 'speciesName', 'weightKg', 'bleeding'] as const;

/** The placing's values that change; the patient goes whole, since an amendment replaces values one by one. */
function placingBody(
  values: Values,
  placing: Pick<LineState, 'patient' | 'site' | 'side'>,
  errors: FormErrors,
): Record<string, unknown> | undefined {
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
  return Object.keys(body).length === 0 ? undefined : body;
}

/** Another species takes the word for the animal away with it; what is put right of weight or species must fit the other. */
function amendAnimal(patient: Patient, { species, speciesName, weightKg }: Values, errors: FormErrors): void {
  const isOther = species !== undefined && species !== patient.species;
  if (species !== undefined || speciesName !== undefined) {
    const chosen = speciesList.find((one) => one === species) ?? patient.species;
    const word = typeof speciesName === 'string' ? speciesName : isOther ? undefined : patient.speciesName;
    const told = animalTold(chosen, word);
    if ('problem' in told) errors.speciesName = told.problem;
    else {
      delete patient.speciesName;
      Object.assign(patient, told.animal);
    }
  }
  if (!isOther && weightKg === undefined) return;
  const problem = weightProblem(patient);
  if (problem !== null) errors.weightKg = problem;
}

/**
 * The screening as it stands after what was ticked, who decided and what was put right of the animal; undefined where
 * nothing of it changes. What is wrong stands beside its own field.
 */
function screeningTold(
  form: Submitted,
  { species, bleeding }: Values,
  { screening, patient }: LineState,
  { ward, now }: { ward: WardState; now: number },
): Screening | { errors: FormErrors } | undefined {
  const read = readCautions(form, { stands: screening !== null });
  if (read && 'errors' in read) return read;
  const decision = decisionTold(form, ward, now);
  if (decision && 'errors' in decision) return decision;
  if (!read) {
    return decision
      ? { errors: { cautions: 'Tick what was found, so that it can be seen on what was decided.' } }
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
  const kept = isTicked || !isAnimal ? read.found : withoutUntold(read.found, animal);
  const found = isTicked || isAnimal ? withTold(kept, animal) : kept;
  const isFound = !screening || !isDeepStrictEqual(found, screening.cautions);
  return isFound || decision ? screeningAmended(ward.policy, screening, found, decision) : undefined;
}

/** What was ticked or unticked and does not fit what is told of the animal: one of the two is a slip. */
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
      'The bleeding disorder told of the animal counts as found. Tick it, or choose No for it above.';
  return errors;
}

/** Who decided and why, dated now; undefined where neither was filled in. */
function decisionTold(
  form: Submitted,
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
