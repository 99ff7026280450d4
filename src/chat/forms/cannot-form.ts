import type { Asked } from '../../domain/duties/duty-status.ts';
import { person, rich } from '../../wording/rich-text.ts';
import { type Form, type FormErrors, type Sent } from '../form.ts';
import { cleanText } from '../typed/clean-text.ts';
import { reasonParts } from './cannot-reasons.ts';
import {
  dutiesMeta,
  dutiesMetaSchema,
  dutiesThatFit,
  dutyInputs,
  dutyRemarks,
  type OfferedDuty,
  readDuties,
} from './duty-choice.ts';
import { formAbout } from './form-about.ts';
import { formMeta, readMeta } from './form-meta.ts';
import { textInput } from './questions.ts';
import { type StaleForm, staleForm, textTyped } from './view-state.ts';

const longestReason = 300;

/**
 * What the form is opened with. `onCall`: the clinician on call now, or null; `by`: who opens it; `under`: the page it opens on, by
 * its id.
 */
export interface CannotFormGiven {
  wardId: string;
  duties: readonly OfferedDuty[];
  onCall: string | null;
  by: string;
  under?: string | undefined;
}

/** The form that says why a duty cannot be done; its id is `cannot`. */
export function cannotForm({ wardId, duties, onCall, by, under }: CannotFormGiven): Form {
  const offered = dutiesThatFit(wardId, duties);
  const isTapped = reasonParts(wardId, offered).length > 0;
  return formAbout({
    id: 'cannot',
    title: 'Cannot be done',
    submit: onCall === null || onCall === by ? 'Tell the ward' : 'Tell the clinician',
    meta: formMeta({ ...dutiesMeta(wardId, offered), ...(under === undefined ? {} : { under }) }),
    parts: [
      ...dutyRemarks(offered, duties, goesTo(onCall, by)),
      ...dutyInputs(offered, 'Which of them'),
      ...reasonParts(wardId, offered),
      textInput({
        id: 'reason',
        label: isTapped ? 'Or in your own words' : 'What is in the way',
        maxLength: longestReason,
        multiline: true,
      }),
    ],
  });
}

function goesTo(onCall: string | null, by: string): string {
  if (onCall === null)
    return rich`*Nobody is on call on this ward:* what you write goes to the ward channel at once. Call the clinician yourself.`;
  return onCall === by
    ? 'You’re the one on call. If it’s a danger, what you write goes to your backup and the ward channel at once.'
    : `What you write goes to the clinician on call, ${person(onCall)}, at once.`;
}

/** What came back: which duties cannot be done and why; or what is wrong, by question. */
export type CannotFormRead =
  | { is: 'ok'; wardId: string; asked: Asked[]; reason: string }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/** The duties ticked while the form is still open; null where it is none of this form. */
export function dutiesTicked(form: Sent | null): Asked[] | null {
  const meta = form && readMeta(dutiesMetaSchema, form.meta);
  return form && meta ? readDuties(form, meta.duties) : null;
}

/** The page that the form lies on, by its id; null where it lies on none. */
export function pageUnder(form: Sent | null): string | null {
  return (form && readMeta(dutiesMetaSchema, form.meta)?.under) ?? null;
}

/** Reads the form; a reason of at least 3 characters is needed, so that the clinician has something to go by. */
export function readCannotForm(form: Sent | null): CannotFormRead {
  const meta = form && readMeta(dutiesMetaSchema, form.meta);
  if (!form || !meta || meta.duties.length === 0) return staleForm;
  const errors: FormErrors = {};
  const asked = readDuties(form, meta.duties);
  if (asked.length === 0) errors.duties = 'Nothing is ticked. Tick what cannot be done.';
  const reason = cleanText(textTyped(form, 'reason') ?? '');
  const problem = reasonProblem(reason, longestReason, 'line will not flush');
  if (problem !== null) errors.reason = problem;
  return Object.keys(errors).length > 0
    ? { is: 'wrong', errors }
    : { is: 'ok', wardId: meta.ward, asked, reason };
}

/** Why a reason will not do; null when it does. The record asks for 3 characters. */
export function reasonProblem(reason: string, longest: number, example: string): string | null {
  if (reason.length < 3) return `Write why, in 3 characters or more, for example “${example}”.`;
  return reason.length > longest ? `${reason.length} characters; the most is ${longest}. Shorten it.` : null;
}
