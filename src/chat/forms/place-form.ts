import { hasSide } from '../../domain/line/anatomy.ts';
import { type Caution, withImplied } from '../../domain/placing/screening.ts';
import { minuteMs } from '../../domain/time.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { rich } from '../../wording/rich-text.ts';
import { type Form, type Sent } from '../form.ts';
import { heading, type Part, smallPrint } from '../parts.ts';
import { placeQuantities } from '../typed/place-values.ts';
import { plainNumber } from '../typed/quantity-words.ts';
import type { Field, Values } from '../verbs/verb.ts';
import { readCautions } from './caution-questions.ts';
import { fieldQuestions } from './field-questions.ts';
import { formAbout } from './form-about.ts';
import { formMeta, readMeta } from './form-meta.ts';
import type { KnownOfLine } from './known-of-line.ts';
import {
  fieldsForSpecies,
  placeFields,
  sourceFields,
  speciesNameField,
  withoutDefaults,
} from './place-fields.ts';
import { strongHeparinParts } from './place-heparin.ts';
import { decisionIn, placeMetaSchema, placeScreeningParts, type ScreenedWhere } from './place-screening.ts';
import { filledSchema } from './read-place-form.ts';
import { readFields } from './read-view.ts';
import { instantPicked, optionChosen, optionsTicked, textTyped } from './view-state.ts';
import { whenQuestions } from './when-questions.ts';

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
const notUnderstoodLead = 'From what you typed:';

function notUnderstoodPart(problems: string): Part {
  return { ...smallPrint(rich`*${notUnderstoodLead}* ${problems}`), id: notUnderstoodId };
}

/** The form that registers a line; its id is `place`. Nothing is registered before it is sent. */
export function placeForm(given: PlaceFormGiven): Form {
  const { ward, user, now, problems = [] } = given;
  const known = given.known ?? { values: {} };
  const { zone } = ward.policy.shifts;
  const { screening } = known;
  const before = placeScreeningParts({ ...given, screening });
  const notUnderstood: Part[] = problems.length === 0 ? [] : [notUnderstoodPart(problems.join(' '))];
  const values = filledIn(known, user);
  // Nothing above the name must be filled in any more: the cursor may stand in it.
  const isNameFirst = given.screened === 'before' && !before.decide && known.values.name === undefined;
  const asked = fieldsFor(known.values).map((field) =>
    field.kind === 'text' && field.id === 'name' && isNameFirst ? { ...field, focused: true } : field,
  );
  const { missing, rest } = given.isTyped ? missingFirst(asked, known.values) : { missing: [], rest: asked };
  return formAbout({
    id: 'place',
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
    parts: [
      ...(known.of === undefined ? [] : [smallPrint(anotherLine(known.values.name ?? '', screening))]),
      ...notUnderstood,
      ...strongHeparinParts(known.values, ward.policy, user),
      ...fieldQuestions(missing, values),
      ...(missing.length > 0 ? [smallPrint(rich`*Read from what you typed:* check it.`)] : []),
      ...before.parts,
      ...fieldQuestions(rest, values),
      ...whenQuestions({ now, zone }, { label: 'Placed', at: known.at }),
      heading('Only when flushed continuously'),
      ...fieldQuestions(sourceFields, values),
    ],
  });
}

function anotherLine(name: string, found: readonly Caution[] = []): string {
  const lead = rich`*Another line for ${name}.*`;
  if (found.length === 0) return `${lead} Species and weight come from its other line: check them.`;
  return `${lead} Species, weight and cautions come from its other line: check them. Unticking a caution here doesn’t take it off the animal; put the other line right for that.`;
}

/** The word for an animal stands beside its species where there is one to read, else out of the way of dogs and cats. */
function fieldsFor({ species, speciesName }: KnownOfLine['values']): Field[] {
  const fields = fieldsForSpecies(placeFields, species);
  if (species !== 'other' && speciesName === undefined) return [...fields, speciesNameField];
  return fields.flatMap((field) => (field.id === 'species' ? [field, speciesNameField] : [field]));
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

/**
 * The same form with what stands in it, right or wrong, that now asks for the cautions itself, and for a clinician's decision
 * where what is ticked needs one; null when `view` is not this form. Its values are given anew, so that none is lost however
 * a client treats a form that changes under its hands. Where it asks about strong heparin, cautions are asked as they were.
 */
export function placeFormAnew(
  form: Sent | null,
  given: Pick<PlaceFormGiven, 'ward' | 'user' | 'now'>,
  asks: 'cautions' | 'heparin' = 'cautions',
): Form | null {
  const meta = form && readMeta(placeMetaSchema, form.meta);
  if (!form || !meta) return null;
  const stands = {
    ...(meta.screening ? { screening: meta.screening } : {}),
    ...(meta.of === undefined ? {} : { of: meta.of }),
    ...standsIn(form, given.now),
  };
  const known = stands.screening
    ? { ...stands, screening: withImplied(stands.screening, stands.values) }
    : stands;
  const isTyped = meta.typed === true;
  const asWas = meta.here ? 'here' : meta.screening === undefined ? 'not yet' : 'before';
  const screened = asks === 'cautions' ? 'here' : asWas;
  const anew = placeForm({ ...given, known, screened, decided: decisionIn(form), isTyped });
  const said = form.kept[notUnderstoodId];
  if (said === undefined) return anew;
  return { ...anew, parts: [notUnderstoodPart(said.replace(notUnderstoodLead, '').trim()), ...anew.parts] };
}

function standsIn(form: Sent, now: number): KnownOfLine {
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
