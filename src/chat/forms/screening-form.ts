import { z } from 'zod';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { reasonsForLine } from '../../wording/care/screening-words.ts';
import { rich } from '../../wording/rich-text.ts';
import { actionValue } from '../action-value.ts';
import { type Form, type FormErrors, type Sent } from '../form.ts';
import { buttonRow, smallPrint } from '../parts.ts';
import { cautionsInput, kitBlock, readCautions } from './caution-questions.ts';
import { formAbout } from './form-about.ts';
import { formMeta, readMeta, wardIdSchema } from './form-meta.ts';
import type { KnownOfLine } from './known-of-line.ts';
import { choiceInput } from './questions.ts';
import { optionChosen, type StaleForm, staleForm } from './view-state.ts';

const metaSchema = z.object({ ward: wardIdSchema });
const other = 'other';

/** The page before the registering form: what speaks against a line, why it is placed, what to have at hand; its id is `screening`. */
export function screeningForm(ward: WardState): Form {
  const value = actionValue({ w: ward.id });
  return formAbout({
    id: 'screening',
    title: 'Before placing',
    submit: 'Next',
    meta: formMeta({ ward: ward.id }),
    parts: [
      smallPrint(rich`Line already in and nobody looked? Tick *Not looked at* and press *Next*.`),
      cautionsInput(ward.policy),
      choiceInput({
        id: 'why',
        label: 'Why this patient',
        optional: true,
        mostInSight: reasonsForLine.length + 1,
        choices: [
          ...reasonsForLine.map((reason) => ({ value: reason, label: reason })),
          { value: other, label: 'Other: write it on the next page' },
        ],
      }),
      kitBlock(ward.policy),
      buttonRow('screening:more', [
        { action: 'open:risks', text: 'For the owner…', value },
        { action: 'open:attempt', text: 'Attempt failed…', value },
      ]),
    ],
  });
}

/** What came back: what is known of the line by now, its screening included; or what is wrong, by question. */
export type ScreeningFormRead =
  | { is: 'ok'; wardId: string; known: KnownOfLine }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/** Reads the page. “Not looked at”: no screening comes of it. Nothing ticked is asked about. */
export function readScreeningForm(form: Sent | null): ScreeningFormRead {
  const meta = form && readMeta(metaSchema, form.meta);
  if (!form || !meta) return staleForm;
  const read = readCautions(form);
  if (read && 'errors' in read) return { is: 'wrong', errors: read.errors };
  const reason = reasonsForLine.find((one) => one === optionChosen(form, 'why'));
  return {
    is: 'ok',
    wardId: meta.ward,
    known: {
      values: {
        ...(reason === undefined ? {} : { indication: reason }),
        ...(read?.found.includes('cat') ? { species: 'cat' as const } : {}),
        ...(read?.found.includes('bleeding disorder') ? { bleeding: true } : {}),
      },
      ...(read ? { screening: read.found } : {}),
    },
  };
}
