import { z } from 'zod';
import type { Asked } from '../../domain/duties/duty-status.ts';
import { rich } from '../../wording/rich-text.ts';
import { type Sent } from '../form.ts';
import { type SmallPrint, smallPrint } from '../parts.ts';
import { type Question } from '../question.ts';
import { room } from '../room.ts';
import { askedSchema, wardIdSchema } from './form-meta.ts';
import { severalInput } from './questions.ts';
import { optionsTicked } from './view-state.ts';

/** A duty with the words it is offered in, plain text: `Biscuit: flush, due 02:10`. */
export interface OfferedDuty {
  asked: Asked;
  text: string;
}

/** What a form about duties carries. */
export const dutiesMetaSchema = z.object({
  ward: wardIdSchema,
  duties: z.array(askedSchema),
  /** The page that the form was opened on, by its id. */
  under: z.string().max(40).optional(),
});

/** As many duties as one form can carry and offer; the rest waits for the next time. */
export function dutiesThatFit(wardId: string, duties: readonly OfferedDuty[]): readonly OfferedDuty[] {
  let count = Math.min(duties.length, room.choices);
  while (count > 0 && JSON.stringify(dutiesMeta(wardId, duties.slice(0, count))).length > room.formMeta)
    count -= 1;
  return duties.slice(0, count);
}

/** The form's private part for these duties. */
export function dutiesMeta(wardId: string, duties: readonly OfferedDuty[]): z.infer<typeof dutiesMetaSchema> {
  return { ward: wardId, duties: duties.map(({ asked }) => [asked.lineId, asked.kind, asked.dueAt]) };
}

/**
 * What the form is about: the one duty, or how to choose among several; and how many did not fit. `text` is rich text
 * that says what sending the form records.
 */
export function dutyRemarks(
  offered: readonly OfferedDuty[],
  all: readonly OfferedDuty[],
  text: string,
): SmallPrint[] {
  const [only, second] = offered;
  const about = only !== undefined && second === undefined ? rich`*${only.text}*\n${text}` : text;
  const left = all.length - offered.length;
  const more =
    left === 0 ? [] : [smallPrint(`${left} more didn’t fit. Record these first, then open the form again.`)];
  return [smallPrint(about), ...more];
}

/** Asks which of several duties; all are ticked to begin with. One alone is not asked for. */
export function dutyInputs(duties: readonly OfferedDuty[], label: string): Question[] {
  if (duties.length < 2) return [];
  const choices = duties.map(({ text }, index) => ({ value: String(index), label: text }));
  return [severalInput({ id: 'duties', label, choices, initial: choices.map(({ value }) => value) })];
}

/** The duties ticked, out of those the form carried. */
export function readDuties(form: Sent, carried: z.infer<typeof dutiesMetaSchema>['duties']): Asked[] {
  const asked = carried.map(([lineId, kind, dueAt]) => ({ lineId, kind, dueAt }));
  if (asked.length < 2) return asked;
  const ticked = optionsTicked(form, 'duties');
  return asked.filter((_, index) => ticked.includes(String(index)));
}
