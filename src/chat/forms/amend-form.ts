import { isDeepStrictEqual } from 'node:util';
import { z } from 'zod';
import { checkTime, placingBackDateMs } from '../../domain/accept/refusal.ts';
import { foldLine } from '../../domain/fold/fold-line.ts';
import { effectiveEntries, withValues } from '../../domain/record/effective-entries.ts';
import { bodySchema, type DraftOf, type Entry, type EntryOf } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { wallClockWithDay } from '../../domain/shifts/wall-clock.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { rich } from '../../wording/rich-text.ts';
import { actionValue } from '../action-value.ts';
import { type Form, type FormErrors, type Sent } from '../form.ts';
import { buttonRow, type Part, paragraph, smallPrint } from '../parts.ts';
import { amendedValues, amendFields } from '../verbs/amend-values.ts';
import type { Field } from '../verbs/verb.ts';
import { screeningGiven, screeningParts } from './amend-cautions.ts';
import { type AmendGiven, amendableEntry, entryText } from './amend-list.ts';
import { placingBody, placingGroups } from './amend-placing.ts';
import { reasonProblem } from './cannot-form.ts';
import { fieldQuestions } from './field-questions.ts';
import { formAbout, lineRemark } from './form-about.ts';
import { formMeta, lineIdSchema, readMeta, wardIdSchema } from './form-meta.ts';
import { fieldsForSpecies } from './place-fields.ts';
import { instantInput } from './questions.ts';
import { problemErrors, readFields } from './read-view.ts';
import { instantPicked, type StaleForm, staleForm } from './view-state.ts';
import { readWhose, whoseParts } from './whose-amended.ts';

const strikeField: Field = {
  kind: 'text',
  id: 'strike',
  label: 'Or strike it out, because',
  maxLength: 300,
  hint: 'It no longer counts, but stays on the record with your reason.',
};

/** `of`: how many entries the log had when the form was opened: what was changed in it is what differs from then. */
const metaSchema = z.object({
  ward: wardIdSchema,
  line: lineIdSchema,
  number: z.number().int().positive(),
  of: z.number().int().positive(),
});

/** The form that puts the entry `number` right: its time, its own values, or a strike with a reason; its id is `amend`. Null where that entry is none to put right. */
export function amendForm(given: AmendGiven & { number: number }): Form | null {
  const { wardId, line, log, number } = given;
  const entry = amendableEntry(log, number);
  if (!entry) return null;
  return formAbout({
    id: 'amend',
    title: `Put right: ${line.patient.name}`,
    submit: 'Put it right',
    meta: formMeta({ ward: wardId, line: line.id, number, of: log.length }),
    parts: [
      lineRemark(line),
      paragraph(rich`*It says:* ${entryText(entry, given)}`),
      instantInput({ id: 'at', label: 'It happened at', optional: true, initialMs: entry.at }),
      ...(entry.kind === 'placed' ? placingParts(given) : valueParts(entry)),
      buttonRow('another', [
        {
          action: `open:amend:${line.id}:list`,
          text: 'Another entry…',
          value: actionValue({ w: wardId, l: line.id, v: 'amend' }),
        },
      ]),
    ],
  });
}

function valueParts(entry: Entry): Part[] {
  const own = amendFields(entry);
  return [
    ...(own
      ? fieldQuestions(own.fields, own.values)
      : [smallPrint('To change what it says, strike it out and record it again.')]),
    ...fieldQuestions([strikeField]),
  ];
}

function placingParts(given: AmendGiven): Part[] {
  return [
    smallPrint('Fill in only what was wrong; what you leave empty stays as it is.'),
    ...placingGroups.flatMap(({ title, fields }) => [
      smallPrint(rich`*${title}*`),
      ...fieldQuestions(fieldsForSpecies(fields, given.line.patient.species)),
    ]),
    ...whoseParts(given.line, given.lines ?? []),
    smallPrint(rich`*Reasons not to place it*`),
    ...screeningParts(given),
    smallPrint(
      rich`*Was this line never there?* If it was in and has come out, record it as taken out instead.`,
    ),
    buttonRow('inerror', [
      {
        action: `open:inerror:${given.line.id}`,
        text: 'Registered in error…',
        value: actionValue({ w: given.wardId, l: given.line.id, v: 'inerror' }),
      },
    ]),
  ];
}

/** What came back: the amendment of one line; or what is wrong, by question. */
export type AmendFormRead =
  | { is: 'ok'; wardId: string; lineId: string; draft: DraftOf<'amended'> & { kind: 'amended' } }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/** The line a sent form is about; null when it is not ours or from another version. */
export function amendedLineId(form: Sent | null): string | null {
  return (form && readMeta(metaSchema, form.meta))?.line ?? null;
}

const nothingChanged =
  'Nothing is changed yet, so nothing was written. Give another time or another value, or strike the entry out with a reason.';
const nothingChangedOfPlacing =
  'Nothing is changed yet, so nothing was written. Give another time, or what was wrong with the placing.';
const changedMeanwhile =
  'Somebody put this entry right while the form was open. Close the form and open it again: it then shows what stands.';

/** Reads the form; `line` and `log` as they stand now. Only what differs from what the form showed is amended. */
export function readAmendForm(
  form: Sent | null,
  { ward, now }: { ward: WardState; now: number },
  line: LineState,
  log: readonly Entry[],
  lines: readonly LineState[] = [],
): AmendFormRead {
  const meta = form && readMeta(metaSchema, form.meta);
  if (!form || !meta || meta.line !== line.id) return staleForm;
  const shown = amendableEntry(log.slice(0, meta.of), meta.number);
  if (!shown) return staleForm;
  const at = timeGiven(form, shown);
  const read =
    shown.kind === 'placed'
      ? placingGiven(form, shown, line, { ward, now, lines })
      : valuesGiven(form, shown, lineBefore(line, log, meta), ward, at !== undefined);
  const { body, strike, errors } = read;
  if (at !== undefined)
    Object.assign(
      errors,
      timeErrors(at, shown.kind === 'placed', line.placed.at, { now, zone: ward.policy.shifts.zone }),
    );
  if (Object.keys(errors).length > 0) return { is: 'wrong', errors };
  if (at === undefined && strike === undefined && body === null)
    return {
      is: 'wrong',
      errors: { at: shown.kind === 'placed' ? nothingChangedOfPlacing : nothingChanged },
    };
  const amended = bodySchema('amended').parse({
    target: meta.number,
    ...(at === undefined ? {} : { at }),
    ...(strike === undefined ? {} : { strike }),
    ...(body === null ? {} : { body }),
  });
  if (strike === undefined && isChangedMeanwhile(shown, log, amended))
    return { is: 'wrong', errors: { at: changedMeanwhile } };
  return { is: 'ok', wardId: meta.ward, lineId: meta.line, draft: { kind: 'amended', body: amended } };
}

/** Whether the entry is another than the form showed; what this very form wrote, sent again, is no change. */
function isChangedMeanwhile(
  shown: Entry,
  log: readonly Entry[],
  { target, at, body }: DraftOf<'amended'>['body'],
): boolean {
  const stands = amendableEntry(log, target);
  const mine = { ...shown, at: at ?? shown.at, body: withValues(shown.body, body ?? {}) };
  return !isDeepStrictEqual(stands, shown) && !isDeepStrictEqual(stands, mine);
}

/** The line as it was just before the entry. */
function lineBefore(
  line: LineState,
  log: readonly Entry[],
  { number, of }: { number: number; of: number },
): LineState {
  const all = effectiveEntries(log.slice(0, of));
  const index = all.findIndex((one) => one.number === number);
  return foldLine(
    line.id,
    all.slice(0, index).map(({ entry }) => entry),
  );
}

/** The time picked, where it is another than the entry's: a picker shows and sends whole minutes or seconds. */
function timeGiven(form: Sent, entry: Entry): number | undefined {
  const picked = instantPicked(form, 'at');
  const isSame =
    picked !== undefined && [1_000, 60_000].some((ms) => picked === Math.floor(entry.at / ms) * ms);
  return isSame ? undefined : picked;
}

interface EntryChange {
  body: Record<string, unknown> | null;
  strike: string | undefined;
  errors: FormErrors;
}

function valuesGiven(
  form: Sent,
  entry: Entry,
  before: LineState,
  ward: WardState,
  isMoved: boolean,
): EntryChange {
  const { strike } = readFields([strikeField], form).values;
  const { values, errors } = readFields(amendFields(entry)?.fields ?? [], form);
  const reason = typeof strike === 'string' ? strike : undefined;
  const read = Object.keys(errors).length > 0 ? null : amendedValues(entry, values, before, ward.policy);
  if (read && 'problems' in read) Object.assign(errors, problemErrors(read.problems));
  const body = read && 'body' in read ? read.body : null;
  if (reason !== undefined) {
    const problem =
      isMoved || body !== null
        ? 'Either put it right or strike it out. Empty this, or put the rest back as it was.'
        : reasonProblem(reason, 300, 'recorded for the wrong patient');
    if (problem !== null) errors.strike = problem;
  }
  return { body, strike: reason, errors };
}

function placingGiven(
  form: Sent,
  entry: EntryOf<'placed'>,
  line: LineState,
  { ward, now, lines }: { ward: WardState; now: number; lines: readonly LineState[] },
): EntryChange {
  const { values, errors } = readFields(
    placingGroups.flatMap(({ fields }) => fields),
    form,
  );
  const screening = screeningGiven(form, values, line, { ward, now });
  const whose = readWhose(form, line, lines, now);
  const put = whose ? { ...line, patient: whose.patient } : line;
  const given = { ...whose, ...placingBody(values, put, entry, errors) };
  if (screening && 'errors' in screening) Object.assign(errors, screening.errors);
  const body = { ...given, ...(screening && !('errors' in screening) ? { screening } : {}) };
  return { body: Object.keys(body).length === 0 ? null : body, strike: undefined, errors };
}

function timeErrors(
  at: number,
  isPlacing: boolean,
  placedAt: number,
  { now, zone }: { now: number; zone: string },
): FormErrors {
  const clock = (atMs: number) => wallClockWithDay(zone, atMs);
  const refusal = checkTime(at, now, ...(isPlacing ? [placingBackDateMs] : []));
  if (refusal?.because === 'in the future') {
    return {
      at: `${clock(at)} is still to come; the ward’s clock shows ${clock(now)}. Give a time in the past.`,
    };
  }
  if (refusal?.because === 'too long ago') {
    return {
      at: `${clock(at)} is too long ago. The earliest you can give is ${clock(refusal.earliest)}. Give a later time.`,
    };
  }
  if (!isPlacing && at < placedAt) {
    return {
      at: `${clock(at)} is before the line was placed, ${clock(placedAt)}. Give a later time, or amend the placing.`,
    };
  }
  return {};
}
