import type { InputBlock } from '@slack/web-api';
import { z } from 'zod';
import type { Asked } from '../../domain/duties/duty-status.ts';
import { limits } from '../limits.ts';
import { askedSchema, wardIdSchema } from './form-meta.ts';
import { severalInput } from './input-blocks.ts';
import { optionsTicked, type Submitted } from './view-state.ts';

/** A duty with the words it is offered in, plain text: `Biscuit: flush, due 02:10`. */
export interface OfferedDuty {
  asked: Asked;
  text: string;
}

/** What a form about duties carries. */
export const dutiesMetaSchema = z.object({ ward: wardIdSchema, duties: z.array(askedSchema) });

/** As many duties as one form can carry and offer; the rest waits for the next time. */
export function dutiesThatFit(wardId: string, duties: readonly OfferedDuty[]): readonly OfferedDuty[] {
  let count = Math.min(duties.length, limits.selectOptions);
  while (
    count > 0 &&
    JSON.stringify(dutiesMeta(wardId, duties.slice(0, count))).length > limits.privateMetadata
  )
    count -= 1;
  return duties.slice(0, count);
}

/** The form's private part for these duties. */
export function dutiesMeta(wardId: string, duties: readonly OfferedDuty[]): z.infer<typeof dutiesMetaSchema> {
  return { ward: wardId, duties: duties.map(({ asked }) => [asked.lineId, asked.kind, asked.dueAt]) };
}

/** Asks which of several duties; all are ticked to begin with. One alone is not asked for. */
export function dutyInputs(duties: readonly OfferedDuty[], label: string): InputBlock[] {
  if (duties.length < 2) return [];
  const choices = duties.map(({ text }, index) => ({ value: String(index), label: text }));
  return [severalInput({ id: 'duties', label, choices, initial: choices.map(({ value }) => value) })];
}

/** The duties ticked, out of those the form carried. */
export function readDuties(form: Submitted, carried: z.infer<typeof dutiesMetaSchema>['duties']): Asked[] {
  const asked = carried.map(([lineId, kind, dueAt]) => ({ lineId, kind, dueAt }));
  if (asked.length < 2) return asked;
  const ticked = optionsTicked(form, 'duties');
  return asked.filter((_, index) => ticked.includes(String(index)));
}
