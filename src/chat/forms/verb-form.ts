import { z } from 'zod';
import type { LineState } from '../../domain/record/line-state.ts';
import { placeWords } from '../../wording/care/line-words.ts';
import { actionValue } from '../action-value.ts';
import { type Form, type FormErrors, type Sent } from '../form.ts';
import { buttonRow, type Part, smallPrint } from '../parts.ts';
import { lineVerb } from '../verbs/line-verbs.ts';
import { fieldsOf, type LineVerb, type Values } from '../verbs/verb.ts';
import { fieldQuestions } from './field-questions.ts';
import { formAbout, lineRemark } from './form-about.ts';
import { formMeta, lineIdSchema, readMeta, wardIdSchema } from './form-meta.ts';
import { choiceInput } from './questions.ts';
import { readFields } from './read-view.ts';
import { optionChosen, type StaleForm, staleForm } from './view-state.ts';
import { readWhen, whenQuestions } from './when-questions.ts';

/** What each form is called and what its button says. */
const words: Readonly<Record<string, { title: string; submit: string }>> = {
  flush: { title: 'Flush', submit: 'Record flush' },
  check: { title: 'Site check', submit: 'Record check' },
  zero: { title: 'Zero', submit: 'Record zero' },
  level: { title: 'Level', submit: 'Record level' },
  test: { title: 'Fast-flush test', submit: 'Record test' },
  reading: { title: 'Reading', submit: 'Record reading' },
  sample: { title: 'Sample', submit: 'Record sample' },
  redress: { title: 'Redress', submit: 'Record redress' },
  source: { title: 'Flush source', submit: 'Record source' },
  moved: { title: 'Moved', submit: 'Record this' },
  transducer: { title: 'Transducer', submit: 'Record this' },
  remove: { title: 'Line out', submit: 'Record line out' },
  pulse: { title: 'Pulse check', submit: 'Record pulse check' },
};

const metaSchema = z.object({
  ward: wardIdSchema,
  verb: z.string().max(20),
  line: lineIdSchema.optional(),
  placedAt: z.number().int().optional(),
  measured: z.boolean().optional(),
});

/** What a verb's form is opened with. */
export interface VerbFormGiven {
  wardId: string;
  /** The line it is about; null asks which of `lines`. */
  line: LineState | null;
  lines?: readonly LineState[];
  values?: Values;
  /** When it happened, ms, where that was said. */
  at?: number;
  now: number;
  zone: string;
  /** What to know before it is recorded; rich text. */
  before?: string;
  /** Asks what was measured as well. */
  measured?: boolean;
}

/** The form that records `verb` of a line; its id is `tell:<verb>`. */
export function verbForm(verb: LineVerb, given: VerbFormGiven): Form {
  const { wardId, line, lines = [], now, zone } = given;
  const { submit, ...named } = words[verb.verb] ?? { title: verb.verb, submit: 'Record' };
  const isMeasured = given.measured === true && verb.measured !== undefined;
  const title = isMeasured ? (verb.measured?.title ?? named.title) : named.title;
  const before = [given.before, isMeasured ? verb.measured?.before : undefined].filter(
    (text) => text !== undefined,
  );
  const which: Part =
    line === null
      ? choiceInput({
          id: 'line',
          label: 'Line',
          choices: lines.map((one) => ({ value: one.id, label: `${one.patient.name}, ${placeWords(one)}` })),
          mostInSight: 3,
        })
      : lineRemark(line);
  const nothing = line === null && lines.length === 0;
  return formAbout({
    id: `tell:${verb.verb}`,
    title: line === null ? title : `${title}: ${line.patient.name}`,
    ...(nothing ? {} : { submit }),
    meta: formMeta({
      ward: wardId,
      verb: verb.verb,
      ...(line === null ? {} : { line: line.id, placedAt: line.placed.at }),
      ...(isMeasured ? { measured: true } : {}),
    }),
    parts: nothing
      ? [smallPrint('There’s no line here to record this for. Close the form and register one first.')]
      : [
          which,
          ...before.map(smallPrint),
          ...fieldsOf(verb, isMeasured).flatMap((field) => [
            ...(field.step === undefined ? [] : [smallPrint(field.step)]),
            ...fieldQuestions([field], given.values),
          ]),
          ...(verb.measured && !isMeasured && line
            ? [measureButton(verb.measured.button, wardId, line, verb.verb)]
            : []),
          ...whenQuestions({ now, zone }, { at: given.at }),
        ],
  });
}

/** Opens the same verb's form for whoever measured. */
function measureButton(text: string, wardId: string, line: LineState, verb: string): Part {
  const value = actionValue({ w: wardId, l: line.id, v: 'measured' });
  return buttonRow('measure', [{ action: `open:${verb}:${line.id}:measured`, text, value }]);
}

/** What came back: whom, what and when; or what is wrong, by question. */
export type VerbFormRead =
  | { is: 'ok'; wardId: string; verb: LineVerb; lineId: string; values: Values; at: number }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/**
 * Reads a verb's form. `verb.drafts(values, line)` then says what it amounts to; its problems go back to the form
 * through `problemErrors`.
 */
export function readVerbForm(form: Sent | null, ward: { now: number; zone: string }): VerbFormRead {
  const meta = form && readMeta(metaSchema, form.meta);
  const verb = meta && lineVerb(meta.verb);
  if (!form || !meta || !verb) return staleForm;
  const { values, errors } = readFields(fieldsOf(verb, meta.measured === true), form);
  const when = readWhen(form, ward, { placedAt: meta.placedAt });
  const lineId = meta.line ?? optionChosen(form, 'line');
  if (lineId === undefined) errors.line = 'Choose the line.';
  if ('errors' in when) Object.assign(errors, when.errors);
  if (lineId === undefined || 'errors' in when || Object.keys(errors).length > 0)
    return { is: 'wrong', errors };
  return { is: 'ok', wardId: meta.ward, verb, lineId, values, at: when.at };
}
