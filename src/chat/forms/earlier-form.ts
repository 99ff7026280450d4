import type { Asked } from '../../domain/duties/duty-status.ts';
import { type Form, type FormErrors, type Sent } from '../form.ts';
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
import { type StaleForm, staleForm } from './view-state.ts';
import { readWhen, whenQuestions } from './when-questions.ts';

/** What the form is opened with. */
export interface EarlierFormGiven {
  wardId: string;
  duties: readonly OfferedDuty[];
  now: number;
  zone: string;
}

/** The form that says which duties were done and when; its id is `earlier`. */
export function earlierForm({ wardId, duties, now, zone }: EarlierFormGiven): Form {
  const offered = dutiesThatFit(wardId, duties);
  const untick = offered.length < 2 ? '' : ' Untick what was not done.';
  return formAbout({
    id: 'earlier',
    title: 'Done earlier',
    submit: 'Record as done',
    meta: formMeta(dutiesMeta(wardId, offered)),
    parts: [
      ...dutyRemarks(offered, duties, `Records just that.${untick}`),
      ...dutyInputs(offered, 'What was done'),
      ...whenQuestions({ now, zone }, { label: 'Done', notNow: offered.length < 2 }),
    ],
  });
}

/** What came back: which duties, done when; or what is wrong, by question. */
export type EarlierFormRead =
  | { is: 'ok'; wardId: string; asked: Asked[]; at: number }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/** Reads the form. */
export function readEarlierForm(form: Sent | null, ward: { now: number; zone: string }): EarlierFormRead {
  const meta = form && readMeta(dutiesMetaSchema, form.meta);
  if (!form || !meta || meta.duties.length === 0) return staleForm;
  const errors: FormErrors = {};
  const asked = readDuties(form, meta.duties);
  if (asked.length === 0) errors.duties = 'Nothing is ticked. Tick what was done.';
  const when = readWhen(form, ward);
  if ('errors' in when) Object.assign(errors, when.errors);
  if ('errors' in when || Object.keys(errors).length > 0) return { is: 'wrong', errors };
  return { is: 'ok', wardId: meta.ward, asked, at: when.at };
}
