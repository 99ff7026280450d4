import { z } from 'zod';
import { type RecordFormat, recordFormats } from '../../app/record-file.ts';
import { rich } from '../../wording/rich-text.ts';
import { type Form, type FormErrors, type Sent } from '../form.ts';
import { smallPrint } from '../parts.ts';
import { formAbout } from './form-about.ts';
import { formMeta, readMeta, wardIdSchema } from './form-meta.ts';
import { choiceInput } from './questions.ts';
import { optionChosen, type StaleForm, staleForm } from './view-state.ts';

const metaSchema = z.object({ ward: wardIdSchema });

/** What each format is for, as it is chosen and as the file is announced. */
export const formatWords: Readonly<Record<RecordFormat, { label: string; isFor: string }>> = {
  csv: {
    label: 'CSV, for a spreadsheet',
    isFor: 'A table for a spreadsheet: one row for every entry.',
  },
  ndjson: {
    label: 'NDJSON, to restore from',
    isFor: 'The whole record; whoever runs the bot can restore it.',
  },
  fhir: {
    label: 'FHIR R4, other systems',
    isFor:
      'An HL7 FHIR R4 bundle for another system: lines, tries, care, pressures, faults, notes, what was seen, what is due and with whom. Only the other two hold the rest: reminders, whom a line was with before, policies, handovers.',
  },
};

/** In the order most asked for. */
const formats = ['csv', 'ndjson', 'fhir'] as const;

/** Said wherever a record leaves. */
export const keepItWords = 'It holds patient data: keep it as the hospital’s rules say.';

/** The form that asks in which format the ward's record leaves; its id is `export`. */
export function exportForm(wardId: string): Form {
  return formAbout({
    id: 'export',
    title: 'Export the record',
    submit: 'Send it to me',
    meta: formMeta({ ward: wardId }),
    parts: [
      smallPrint(
        'Everything recorded on this ward, in one file, by direct message to you alone. Nothing on the ward changes.',
      ),
      choiceInput({
        id: 'format',
        label: 'Format',
        choices: formats.map((value) => ({
          value,
          label: formatWords[value].label,
        })),
      }),
      ...formats.map((value) => smallPrint(rich`*${value.toUpperCase()}* ${formatWords[value].isFor}`)),
      smallPrint(rich`*${keepItWords}*`),
    ],
  });
}

/** What came back. */
export type ExportFormRead =
  | { is: 'ok'; wardId: string; format: RecordFormat }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/** Reads the form. */
export function readExportForm(form: Sent | null): ExportFormRead {
  const meta = form && readMeta(metaSchema, form.meta);
  if (!form || !meta) return staleForm;
  const chosen = optionChosen(form, 'format');
  const format = recordFormats.find((one) => one === chosen);
  return format === undefined
    ? { is: 'wrong', errors: { format: 'Choose a format.' } }
    : { is: 'ok', wardId: meta.ward, format };
}
