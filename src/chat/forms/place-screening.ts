import { z } from 'zod';
import type { Patient } from '../../domain/patient/patient.ts';
import type { Species } from '../../domain/patient/species.ts';
import { type Caution, cautions, type Screening, withImplied } from '../../domain/placing/screening.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import { anybodyDecides, mayDecide } from '../../domain/ward/on-call.ts';
import { cautionsToDecide, overrideFault } from '../../domain/ward/override.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { capital, listed } from '../../wording/care/duty-words.ts';
import { cautionPublished, cautionRow, cautionsWords } from '../../wording/care/screening-words.ts';
import { rich } from '../../wording/rich-text.ts';
import { actionValue } from '../action-value.ts';
import { type FormErrors, type Sent } from '../form.ts';
import { buttonRow, heading, type Part, smallPrint } from '../parts.ts';
import { cleanText } from '../typed/clean-text.ts';
import { reasonProblem } from './cannot-form.ts';
import { cautionsInput, kitBlock, readCautions } from './caution-questions.ts';
import { lineIdSchema, wardIdSchema } from './form-meta.ts';
import { personInput, textInput } from './questions.ts';
import { textTyped, userChosen } from './view-state.ts';

export const overrideReasonMax = 300;

/** Said where whoever is named as having decided may not. */
export const notTheirs =
  'Only the clinician on call, or one named in the ward policy, can decide this. Ask one of them; /artline oncall shows who is on call.';

const notYet = rich`*Not registered yet.* The ward wants a clinician’s decision on what was found.`;

const nobodyDecides =
  'Nobody is on call, and the ward policy names no clinician. Close this, put the clinician who decides on call (/artline oncall @name), then register the line.';

/** What the registering form carries of how it was screened. */
export const placeMetaSchema = z.object({
  ward: wardIdSchema,
  /** Cautions found on the page before; absent when nobody looked there. */
  screening: z.array(z.enum(cautions)).max(cautions.length).optional(),
  /** The form asks for the cautions itself. */
  here: z.boolean().optional(),
  /** The form asks for a clinician's decision. */
  decide: z.boolean().optional(),
  /** A line of the animal it is of, where that was chosen. */
  of: lineIdSchema.optional(),
  /** The form was opened by words: what they did not say has no default. */
  typed: z.boolean().optional(),
});

/**
 * Where the cautions are asked: on the page before; in this form; or not, since it was opened by words with which a line may
 * be registered at once.
 */
export type ScreenedWhere = 'before' | 'here' | 'not yet';

interface ScreenedGiven {
  ward: WardState;
  user: string;
  /** Cautions found; absent when nobody looked. */
  screening: Caution[] | undefined;
  screened: ScreenedWhere;
  /** What stands in the questions about the decision, right or wrong. */
  decided?: { clinician?: string | undefined; reason?: string | undefined } | undefined;
  now: number;
}

/** The registering form's head: what was screened, and the questions about a clinician's decision where one is needed. */
export function placeScreeningParts(given: ScreenedGiven): { parts: Part[]; decide: boolean } {
  const toDecide = cautionsToDecide(given.ward.policy, given.screening ?? []);
  const decision = toDecide.length === 0 ? [] : decisionParts(toDecide, given);
  const screened = screenedParts(given);
  const decide = toDecide.length > 0;
  if (!decide || given.screened !== 'here') return { parts: [...screened, ...decision], decide };
  // The form was sent, or is being changed, and stands here anew: why must be the first that is read.
  return { parts: [smallPrint(notYet), ...decision, ...screened], decide };
}

function screenedParts({ ward, screening, screened }: ScreenedGiven): Part[] {
  const { policy } = ward;
  switch (screened) {
    case 'not yet':
      return [smallPrint(rich`*Not screened.*`), askHere(ward.id, 'Screen first…')];
    case 'here':
      return [cautionsInput(policy, screening), kitBlock(policy)];
    case 'before': {
      if (screening === undefined)
        return [smallPrint(rich`*Not screened:* nobody looked.`), askHere(ward.id, 'Screen first…')];
      return [
        smallPrint(
          [
            rich`*${capital(cautionsWords({ cautions: screening }))}.*`,
            ...meaningRows(screening, policy),
          ].join('\n'),
        ),
        askHere(ward.id, 'Change cautions…'),
      ];
    }
  }
}

/** Has the form ask for the cautions itself. Going back to the page before would lose what was typed since. */
function askHere(wardId: string, text: string): Part {
  return buttonRow('place:screen', [{ action: 'open:screen', text, value: actionValue({ w: wardId }) }]);
}

/** What each caution means, and what is published on them, once. */
function meaningRows(found: readonly Caution[], policy: WardPolicy): string[] {
  const meanings = found.map((caution) => {
    const { label, means } = cautionRow(caution, policy);
    return `${label}: ${means}`;
  });
  const published = new Set(found.map(cautionPublished).filter((text) => text !== ''));
  return [...meanings, ...published].map((text) => `• ${text}`);
}

/** Asks whose decision it is. Whoever may decide is taken to have decided when they fill it in themselves. */
function decisionParts(
  toDecide: readonly Caution[],
  { ward, user, now, screened, decided }: ScreenedGiven,
): Part[] {
  // Asked beside the cautions, they may be unticked again: then there is nothing to decide.
  const optional = screened === 'here';
  return [
    heading('A clinician decides first'),
    personInput({
      id: 'overrideBy',
      label: `Who decided to place it in spite of: ${listed(toDecide)}`,
      hint: anybodyDecides(ward, now)
        ? 'The clinician on call, or one named in the ward policy.'
        : nobodyDecides,
      optional,
      initial: decided?.clinician ?? (mayDecide(ward, user, now) ? user : undefined),
    }),
    textInput({
      id: 'overrideReason',
      label: 'Because',
      maxLength: overrideReasonMax,
      multiline: false,
      optional,
      initial: decided?.reason,
    }),
  ];
}

/**
 * The screening as it is recorded, with the decision where one was asked for: dated when the form is sent, which is when it was
 * recorded. What is wrong with it stands beside its own field. What the form records of the animal counts as found: `animal`. Null:
 * nobody looked.
 */
export function readPlaceScreening(
  form: Sent,
  meta: z.infer<typeof placeMetaSchema>,
  animal: Partial<Pick<Patient, 'species' | 'bleeding'>>,
  { ward, now }: { ward: WardState; now: number },
): Screening | { errors: FormErrors } | null {
  // Asked of the page before, or of nobody: a form that words opened may be sent as it is.
  const read = meta.here ? readCautions(form) : meta.screening && { found: meta.screening };
  if (!read) return null;
  if ('errors' in read) return read;
  const screening: Screening = { cautions: withImplied(read.found, animal) };
  // Asked in this form beside the cautions, they may have been unticked since.
  if (!meta.decide || (meta.here && !isUndecided(screening, ward, now))) return screening;
  const clinician = userChosen(form, 'overrideBy');
  const reason = cleanText(textTyped(form, 'overrideReason') ?? '');
  const errors: FormErrors = {};
  if (clinician === undefined) errors.overrideBy = 'Choose the clinician who decided.';
  const problem = reasonProblem(reason, overrideReasonMax, 'pressures needed for vasopressors');
  if (problem !== null) errors.overrideReason = problem;
  const decided =
    clinician === undefined ? screening : { ...screening, override: { clinician, at: now, reason } };
  if (overrideFault(ward, decided, now) === 'not theirs') {
    errors.overrideBy = anybodyDecides(ward, now) ? notTheirs : nobodyDecides;
  }
  return Object.keys(errors).length > 0 ? { errors } : decided;
}

/** What stands in the questions about the decision, right or wrong. */
export function decisionIn(form: Sent): NonNullable<ScreenedGiven['decided']> {
  return { clinician: userChosen(form, 'overrideBy'), reason: textTyped(form, 'overrideReason') };
}

/** Whether the ward wants a clinician's decision that this form did not ask for yet. */
export function isUndecided(screening: Screening, ward: WardState, now: number): boolean {
  return overrideFault(ward, screening, now) === 'needed';
}

/** What was ticked as a caution and does not show in the rest: one of the two is a slip. */
export function againstScreening(
  { species, bleeding }: { species: Species; bleeding?: readonly string[] | undefined },
  found: readonly Caution[],
): FormErrors {
  const errors: FormErrors = {};
  if (found.includes('cat') && species !== 'cat')
    errors.species = 'Cat was ticked as a caution. Choose Cat, or untick it there.';
  if (found.includes('bleeding disorder') && !bleeding?.includes('bleeding'))
    errors.bleeding =
      'Bleeding disorder was ticked as a caution: the hold is longer. Tick it here, or untick it there.';
  return errors;
}
