import type { ModalView } from '@slack/web-api';
import { z } from 'zod';
import { formMeta, readMeta, wardIdSchema } from './form-meta.ts';
import { formView } from './form-view.ts';
import { type FormErrors, type StaleForm, staleForm, submittedView, userChosen } from './view-state.ts';

const metaSchema = z.object({ ward: wardIdSchema });

/** The form that puts somebody on call now; `callback_id` is `oncall`. */
export function onCallForm(wardId: string): ModalView {
  return formView({
    callbackId: 'oncall',
    title: 'On call now',
    submit: 'Put on call',
    meta: formMeta({ ward: wardId }),
    blocks: [
      {
        type: 'input',
        block_id: 'user',
        label: { type: 'plain_text', text: 'Clinician on call from now' },
        hint: { type: 'plain_text', text: 'Overdue duties go to this person by direct message.' },
        element: { type: 'users_select', action_id: 'user' },
      },
    ],
  });
}

/** What came back. */
export type OnCallFormRead =
  | { is: 'told'; wardId: string; user: string }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/** Reads the form. */
export function readOnCallForm(view: unknown): OnCallFormRead {
  const form = submittedView(view);
  const meta = form && readMeta(metaSchema, form.meta);
  if (!form || !meta) return staleForm;
  const user = userChosen(form, 'user');
  return user === undefined
    ? { is: 'wrong', errors: { user: 'Choose one person.' } }
    : { is: 'told', wardId: meta.ward, user };
}
