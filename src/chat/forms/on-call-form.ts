import { z } from 'zod';
import { type Form, type FormErrors, type Sent } from '../form.ts';
import { formAbout } from './form-about.ts';
import { formMeta, readMeta, wardIdSchema } from './form-meta.ts';
import { personInput } from './questions.ts';
import { type StaleForm, staleForm, userChosen } from './view-state.ts';

const metaSchema = z.object({ ward: wardIdSchema });

/** The form that puts somebody on call now; its id is `oncall`. */
export function onCallForm(wardId: string): Form {
  return formAbout({
    id: 'oncall',
    title: 'On call now',
    submit: 'Put on call',
    meta: formMeta({ ward: wardId }),
    parts: [
      personInput({
        id: 'user',
        label: 'Clinician on call from now',
        hint: 'Overdue duties go to this person by direct message.',
      }),
    ],
  });
}

/** What came back. */
export type OnCallFormRead =
  | { is: 'ok'; wardId: string; user: string }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/** Reads the form. */
export function readOnCallForm(form: Sent | null): OnCallFormRead {
  const meta = form && readMeta(metaSchema, form.meta);
  if (!form || !meta) return staleForm;
  const user = userChosen(form, 'user');
  return user === undefined
    ? { is: 'wrong', errors: { user: 'Choose one person.' } }
    : { is: 'ok', wardId: meta.ward, user };
}
