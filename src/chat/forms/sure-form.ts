import { z } from 'zod';
import { numberIn } from '../../app/verbs/field-values.ts';
import { flush } from '../../app/verbs/flush.ts';
import type { Question } from '../../domain/accept/asked-first.ts';
import type { Telling } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { tellingCarried, toldSchema } from '../action-value.ts';
import { changeButton } from '../answers/asked-words.ts';
import { type Form, type FormErrors, type Sent } from '../form.ts';
import { buttonRow, paragraph } from '../parts.ts';
import { fieldQuestions } from './field-questions.ts';
import { formAbout, lineRemark } from './form-about.ts';
import { formMeta, lineIdSchema, readMeta, wardIdSchema } from './form-meta.ts';
import { personInput } from './questions.ts';
import { readFields } from './read-view.ts';
import { type StaleForm, staleForm, userChosen } from './view-state.ts';

const metaSchema = z.object({ ward: wardIdSchema, line: lineIdSchema, t: toldSchema });
const volume = flush.fields
  .filter(({ id }) => id === 'volume')
  .map((field) => ({ ...field, required: true }));

/**
 * What a form's telling is asked about before it is recorded, in the form's place; its id is `sure`. It carries all
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
  const t = { kind, body, at } as z.infer<typeof toldSchema>;
  const isFlush = question.about === 'flushed just now';
  return formAbout({
    id: 'sure',
    title: isFlush ? 'Flushed again?' : 'Look at the label again',
    submit: isFlush ? 'Yes, flushed again' : 'Record it so',
    meta: formMeta({ ward: wardId, line: line.id, t }),
    parts: [
      lineRemark(line),
      paragraph(words),
      ...(isFlush
        ? fieldQuestions(volume, { volume: question.yes.body.volumeMl ?? 0 })
        : [
            personInput({ id: 'seenBy', label: 'Who looked at the label again', initial: user }),
            buttonRow('change', [changeButton(wardId, line, t)]),
          ]),
    ],
  });
}

/** What came back: the telling that was said yes to, or what is wrong, by question. */
export type SureFormRead =
  | { is: 'told'; lineId: string; telling: Telling; at: number }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/** Reads the yes; a volume that was put right in it counts as told. */
export function readSureForm(form: Sent | null): SureFormRead {
  const meta = form && readMeta(metaSchema, form.meta);
  const telling = meta && tellingCarried(meta.t);
  if (!form || !meta || !telling) return staleForm;
  const told = (one: Telling): SureFormRead => ({
    is: 'told',
    lineId: meta.line,
    telling: one,
    at: meta.t.at,
  });
  if (telling.kind === 'flushed' && telling.body.again !== undefined) {
    const { values, errors } = readFields(volume, form);
    if (Object.keys(errors).length > 0) return { is: 'wrong', errors };
    const volumeMl = numberIn(values, 'volume');
    if (volumeMl === telling.body.volumeMl) return told(telling);
    const { usual: _, ...body } = telling.body;
    return told({ kind: 'flushed', body: { ...body, ...(volumeMl === undefined ? {} : { volumeMl }) } });
  }
  const heparinSeenBy = userChosen(form, 'seenBy');
  if (heparinSeenBy === undefined)
    return { is: 'wrong', errors: { seenBy: 'Choose who looked at the label again.' } };
  if (telling.kind === 'flushed') return told({ ...telling, body: { ...telling.body, heparinSeenBy } });
  if ((telling.kind === 'sourceChanged' || telling.kind === 'flushModeChanged') && telling.body.source) {
    const source = { ...telling.body.source, heparinSeenBy };
    return told({ ...telling, body: { ...telling.body, source } } as Telling);
  }
  return staleForm;
}
