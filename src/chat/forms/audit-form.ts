import { z } from 'zod';
import type { Period } from '../../domain/audit/line-course.ts';
import { type Form, type FormErrors, type Sent } from '../form.ts';
import { smallPrint } from '../parts.ts';
import { periodFromWords } from '../typed/period-words.ts';
import { formAbout } from './form-about.ts';
import { formMeta, readMeta, wardIdSchema } from './form-meta.ts';
import { choiceInput, textInput } from './questions.ts';
import { optionChosen, type StaleForm, staleForm, textTyped } from './view-state.ts';

const metaSchema = z.object({ ward: wardIdSchema });

/** Times offered to a thumb; the first is chosen unless another is. */
const offered = [
  { value: '90d', label: 'Last 90 days' },
  { value: '30d', label: 'Last 30 days' },
  { value: '6 months', label: 'Last 6 months' },
  { value: '1 year', label: 'Last year' },
] as const;

/** The form that asks for an audit; its id is `audit`. */
export function auditForm(wardId: string): Form {
  return formAbout({
    id: 'audit',
    title: 'Audit',
    submit: 'Count',
    meta: formMeta({ ward: wardId }),
    parts: [
      smallPrint(
        'What the ward’s lines cost and gained. The report comes to you by direct message, with your own learning curve; nobody else sees that but the ward lead.',
      ),
      choiceInput({ id: 'time', label: 'Over which time', choices: offered, initial: offered[0].value }),
      textInput({
        id: 'other',
        label: 'Or another time',
        hint: 'With its unit: 12 weeks, 2 years; or since 2026-09-01. It takes the place of the choice above.',
        maxLength: 40,
        optional: true,
      }),
    ],
  });
}

/** What came back: the time to count. */
export type AuditFormRead =
  | { is: 'ok'; wardId: string; period: Period }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/** Reads the form. */
export function readAuditForm(form: Sent | null, at: { now: number; zone: string }): AuditFormRead {
  const meta = form && readMeta(metaSchema, form.meta);
  if (!form || !meta) return staleForm;
  const other = textTyped(form, 'other');
  const read = periodFromWords(other ?? optionChosen(form, 'time') ?? '', at);
  return 'period' in read
    ? { is: 'ok', wardId: meta.ward, period: read.period }
    : { is: 'wrong', errors: { [other === undefined ? 'time' : 'other']: read.problem } };
}
