import type { KnownBlock, ModalView } from '@slack/web-api';
import { z } from 'zod';
import type { Field, Values } from '../../app/verbs/verb.ts';
import { placeQuantities } from '../../app/words/place-values.ts';
import { plainNumber } from '../../app/words/quantity-words.ts';
import { hasSide } from '../../domain/line/anatomy.ts';
import { withTold } from '../../domain/placing/screening.ts';
import { minuteMs } from '../../domain/time.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { limits } from '../limits.ts';
import { escaped } from '../text.ts';
import { readCautions } from './caution-blocks.ts';
import { fieldBlocks } from './field-blocks.ts';
import { formMeta, readMeta } from './form-meta.ts';
import { formView, remark } from './form-view.ts';
import { plain } from './input-blocks.ts';
import type { KnownOfLine } from './known-of-line.ts';
import {
  fieldsForSpecies,
  placeFields,
  sourceFields,
  speciesNameField,
  withoutDefaults,
} from './place-fields.ts';
import { strongHeparinBlocks } from './place-heparin.ts';
import { decisionIn, placeMetaSchema, placeScreeningBlocks, type ScreenedWhere } from './place-screening.ts';
import { filledSchema } from './read-place-form.ts';
import { readFields } from './read-view.ts';
import {
  instantPicked,
  optionChosen,
  optionsTicked,
  type Submitted,
  submittedView,
  textTyped,
} from './view-state.ts';
import { whenBlocks } from './when-blocks.ts';

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
