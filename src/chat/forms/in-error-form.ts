import { z } from 'zod';
import { careOf } from '../../domain/accept/check-amendment.ts';
import { bodySchema, type DraftOf, type Entry } from '../../domain/record/entry.ts';
import { rich } from '../../wording/rich-text.ts';
import { type Form, type FormErrors, type Sent } from '../form.ts';
import { type Part, paragraph, smallPrint } from '../parts.ts';
import { cleanText } from '../typed/clean-text.ts';
import type { Field } from '../verbs/verb.ts';
import { type AmendGiven, entryText } from './amend-list.ts';
import { fieldQuestions } from './field-questions.ts';
import { formAbout, lineRemark } from './form-about.ts';
import { formMeta, lineIdSchema, readMeta, wardIdSchema } from './form-meta.ts';
import { readFields } from './read-view.ts';
import { type StaleForm, staleForm } from './view-state.ts';

/** `seen`: how many entries the line's log had when the form was opened. */
const metaSchema = z.object({ ward: wardIdSchema, line: lineIdSchema, seen: z.number().int().positive() });

/** Entries that are named one by one; more are counted. */
const mostNamed = 10;

const whyFields: readonly Field[] = [
  {
    kind: 'choice',
    id: 'why',
    label: 'Why it was never there',
    required: true,
    options: [
      { value: 'registered twice', label: 'Registered twice' },
      { value: 'registered for the wrong patient', label: 'Registered for the wrong patient' },
      { value: 'no line was placed', label: 'No line was placed' },
      { value: 'another reason', label: 'Another reason' },
    ],
  },
  {
    kind: 'text',
    id: 'words',
    label: 'If “Another reason”: in a few words',
    maxLength: 200,
  },
];

const sureField: Field = {
  kind: 'several',
  id: 'sure',
  label: 'What was recorded on it',
  options: [{ value: 'none', label: 'None of it was done on this line: none of it counts' }],
};

/** Asks whether a line was registered in error, and names all that would go with it; its id is `inerror`. */
export function inErrorForm(given: AmendGiven): Form {
  const { wardId, line, log } = given;
  const care = careOf(log);
  return formAbout({
    id: 'inerror',
    title: 'Registered in error',
    submit: 'Strike the line',
    meta: formMeta({ ward: wardId, line: line.id, seen: log.length }),
    parts: [
      lineRemark(line),
      paragraph(
        rich`Use this only if the line was never there. It disappears from the card, the reminders and the handover, and no audit counts it. *If it was in and has come out, record it as taken out instead*, so that the limb gets its checks.`,
      ),
      ...careParts(
        care.map(({ entry }) => entry),
        given,
      ),
      ...fieldQuestions(care.length === 0 ? whyFields : [...whyFields, sureField]),
    ],
  });
}

function careParts(care: readonly Entry[], given: AmendGiven): Part[] {
  if (care.length === 0) return [smallPrint('Nothing else is recorded on it.')];
  const named = care.slice(-mostNamed).map((entry) => `• ${entryText(entry, given)}`);
  const more = care.length > mostNamed ? [`• and ${care.length - mostNamed} before that`] : [];
  const blood = care.some(({ kind }) => kind === 'sampled' || kind === 'disturbed')
    ? ['Blood recorded here no longer counts for the animal. If it came from another line, record it there.']
    : [];
  return [paragraph([rich`*Recorded on it since*`, ...more, ...named, ...blood].join('\n'))];
}

/** What came back: the strike of the line's placing, or what is wrong, by question. */
export type InErrorFormRead =
  | { is: 'ok'; lineId: string; draft: DraftOf<'amended'> & { kind: 'amended' } }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/** Reads the form; `log`: the line's log as it stands now. */
export function readInErrorForm(form: Sent | null, log: readonly Entry[]): InErrorFormRead {
  const meta = form && readMeta(metaSchema, form.meta);
  if (!form || !meta) return staleForm;
  const { values, errors } = readFields([...whyFields, sureField], form);
  const words = cleanText(typeof values.words === 'string' ? values.words : '');
  if (values.why === 'another reason' && words.length < 3)
    errors.words = 'Say in a few words why the line was never there.';
  const isSeen = careOf(log.slice(0, meta.seen)).length > 0;
  const sure = Array.isArray(values.sure) && values.sure.length > 0;
  if (isSeen && !sure)
    errors.sure =
      'Care is recorded on this line. Tick that none of it was done on it; if some was, close this form and put that right first.';
  if (Object.keys(errors).length > 0) return { is: 'wrong', errors };
  const strike = words === '' ? String(values.why) : words;
  const body = bodySchema('amended').parse({ target: 1, strike, seen: meta.seen });
  return { is: 'ok', lineId: meta.line, draft: { kind: 'amended', body } };
}

/** The line a sent form is about; null when it is not ours or from another version. */
export function inErrorLineId(form: Sent | null): string | null {
  return (form && readMeta(metaSchema, form.meta))?.line ?? null;
}
