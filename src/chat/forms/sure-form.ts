import { z } from 'zod';
import type { Question } from '../../domain/accept/asked-first.ts';
import type { EntryDraft } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { draftCarried, draftSchema } from '../action-value.ts';
import { changeButton } from '../answers/asked-words.ts';
import { type Form, type FormErrors, type Sent } from '../form.ts';
import { buttonRow, paragraph } from '../parts.ts';
import { numberIn } from '../verbs/field-values.ts';
import { flush } from '../verbs/flush.ts';
import { fieldQuestions } from './field-questions.ts';
import { formAbout, lineRemark } from './form-about.ts';
import { formMeta, lineIdSchema, readMeta, wardIdSchema } from './form-meta.ts';
import { personInput } from './questions.ts';
import { readFields } from './read-view.ts';
import { type StaleForm, staleForm, userChosen } from './view-state.ts';

const metaSchema = z.object({ ward: wardIdSchema, line: lineIdSchema, t: draftSchema });
const volume = flush.fields
  .filter(({ id }) => id === 'volume')
  .map((field) => ({ ...field, required: true }));

/**
 * What a form's draft is asked about before it is recorded, in the form's place; its id is `sure`. It carries all
 * that was filled in. `words`: the question; rich text.
 */
export function sureForm(given: {
  wardId: string;
  user: string;
  line: LineState;
  question: Question;
  at: number;
  words: string;
}): Form {
  const { wardId, line, question, at, user, words } = given;
  const { kind, body } = question.yes;
  const t = { kind, body, at } as z.infer<typeof draftSchema>;
  const { title, submit } = heads[question.about];
  return formAbout({
    id: 'sure',
    title,
    submit,
    meta: formMeta({ ward: wardId, line: line.id, t }),
    parts: [
      lineRemark(line),
      paragraph(words),
      ...(question.about !== 'strong heparin'
        ? fieldQuestions(volume, { volume: question.yes.body.volumeMl ?? 0 })
        : [
            personInput({ id: 'seenBy', label: 'Who looked at the label again', initial: user }),
            buttonRow('change', [changeButton(wardId, line, t)]),
          ]),
    ],
  });
}

const heads = {
  'flushed just now': { title: 'Flushed again?', submit: 'Yes, flushed again' },
  'strong heparin': { title: 'Look at the label again', submit: 'Record it so' },
  'large flush': { title: 'Look at the syringe again', submit: 'Record it so' },
} as const satisfies Record<Question['about'], object>;

/** What came back: the draft that was said yes to, or what is wrong, by question. */
export type SureFormRead =
  | { is: 'ok'; lineId: string; draft: EntryDraft; at: number }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/** Reads the yes; a volume that was put right in it counts as recorded. */
export function readSureForm(form: Sent | null): SureFormRead {
  const meta = form && readMeta(metaSchema, form.meta);
  const draft = meta && draftCarried(meta.t);
  if (!form || !meta || !draft) return staleForm;
  const read = (one: EntryDraft): SureFormRead => ({
    is: 'ok',
    lineId: meta.line,
    draft: one,
    at: meta.t.at,
  });
  const { again, volumeSeenBy } = draft.kind === 'flushed' ? draft.body : {};
  if (draft.kind === 'flushed' && (again !== undefined || volumeSeenBy !== undefined)) {
    const { values, errors } = readFields(volume, form);
    if (Object.keys(errors).length > 0) return { is: 'wrong', errors };
    const volumeMl = numberIn(values, 'volume');
    if (volumeMl === draft.body.volumeMl) return read(draft);
    // Nobody has looked at another volume yet.
    const { usual: _, volumeSeenBy: __, ...body } = draft.body;
    return read({ kind: 'flushed', body: { ...body, ...(volumeMl === undefined ? {} : { volumeMl }) } });
  }
  const heparinSeenBy = userChosen(form, 'seenBy');
  if (heparinSeenBy === undefined)
    return { is: 'wrong', errors: { seenBy: 'Choose who looked at the label again.' } };
  if (draft.kind === 'flushed') return read({ ...draft, body: { ...draft.body, heparinSeenBy } });
  if ((draft.kind === 'sourceChanged' || draft.kind === 'flushModeChanged') && draft.body.source) {
    const source = { ...draft.body.source, heparinSeenBy };
    return read({ ...draft, body: { ...draft.body, source } } as EntryDraft);
  }
  return staleForm;
}
