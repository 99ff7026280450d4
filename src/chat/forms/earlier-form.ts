import type { ModalView } from '@slack/web-api';
import type { Asked } from '../../domain/duties/duty-status.ts';
import {
  dutiesMeta,
  dutiesMetaSchema,
  dutiesThatFit,
  dutyInputs,
  dutyRemarks,
  type OfferedDuty,
  readDuties,
} from './duty-choice.ts';
import { formMeta, readMeta } from './form-meta.ts';
import { formView } from './form-view.ts';
import { type FormErrors, type StaleForm, staleForm, submittedView } from './view-state.ts';
import { readWhen, whenBlocks } from './when-blocks.ts';

/** What the form is opened with. */
export interface EarlierFormGiven {
  wardId: string;
  duties: readonly OfferedDuty[];
  now: number;
  zone: string;
}

/** The form that says which duties were done and when; `callback_id` is `earlier`. */
export function earlierForm({ wardId, duties, now, zone }: EarlierFormGiven): ModalView {
  const offered = dutiesThatFit(wardId, duties);
  const untick = offered.length < 2 ? '' : ' Untick what was not done.';
  return formView({
    callbackId: 'earlier',
    title: 'Done earlier',
    submit: 'Record as done',
    meta: formMeta(dutiesMeta(wardId, offered)),
    blocks: [
      ...dutyRemarks(offered, duties, `Records just that.${untick}`),
      ...dutyInputs(offered, 'What was done'),
      ...whenBlocks({ now, zone }, { label: 'Done', notNow: offered.length < 2 }),
    ],
  });
}

/** What came back: which duties, done when; or what is wrong, by block id. */
export type EarlierFormRead =
  | { is: 'told'; wardId: string; asked: Asked[]; at: number }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/** Reads the form. */
export function readEarlierForm(view: unknown, ward: { now: number; zone: string }): EarlierFormRead {
  const form = submittedView(view);
  const meta = form && readMeta(dutiesMetaSchema, form.meta);
  if (!form || !meta || meta.duties.length === 0) return staleForm;
  const errors: FormErrors = {};
  const asked = readDuties(form, meta.duties);
  if (asked.length === 0) errors.duties = 'Nothing is ticked. Tick what was done.';
  const when = readWhen(form, ward);
  if ('errors' in when) Object.assign(errors, when.errors);
  if ('errors' in when || Object.keys(errors).length > 0) return { is: 'wrong', errors };
  return { is: 'told', wardId: meta.ward, asked, at: when.at };
}
