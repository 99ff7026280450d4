import { shorten } from '../../wording/shorten.ts';
import { type FormErrors, type Sent } from '../form.ts';
import { room } from '../room.ts';
import { cleanText, excerpt } from '../typed/clean-text.ts';
import { wordsOf } from '../typed/fold-words.ts';
import { plainNumber, quantityAt, unitProblem } from '../typed/quantity-words.ts';
import { quantityProblem } from '../verbs/field-values.ts';
import type { Field, FieldProblem, Values } from '../verbs/verb.ts';
import { optionChosen, optionsTicked, textTyped, userChosen } from './view-state.ts';

/** What was filled into a verb's fields, and what of it cannot be. An input left empty has no value. */
export function readFields(fields: readonly Field[], form: Sent): { values: Values; errors: FormErrors } {
  const values: Record<string, Values[string]> = {};
  const errors: FormErrors = {};
  for (const field of fields) {
    const read = readField(field, form);
    if (read === undefined) {
      if (field.required) errors[field.id] = `${field.label} is needed. Fill it in.`;
    } else if ('problem' in read) errors[field.id] = shorten(read.problem, errorMax);
    else values[field.id] = read.value;
  }
  for (const { id, asked } of fields) {
    const isAnswered = [id, asked?.unless ?? id].some((one) => one in values || one in errors);
    if (asked && !isAnswered) errors[id] = asked.message;
  }
  return { values, errors };
}

/** Room for a sentence beside an input on a phone; what does not fit is cut. */
const errorMax = 300;

/** A verb's own problems as the form shows them, by question; several of one field become one text. */
export function problemErrors(problems: readonly FieldProblem[]): FormErrors {
  const errors: FormErrors = {};
  for (const { field, message } of problems) {
    const before = errors[field];
    errors[field] = shorten(before === undefined ? message : `${before} ${message}`, errorMax);
  }
  return errors;
}

type Read = { value: Values[string] } | { problem: string } | undefined;

function readField(field: Field, form: Sent): Read {
  const { id } = field;
  switch (field.kind) {
    case 'quantity':
      return readQuantity(field, textTyped(form, id));
    case 'choice': {
      const chosen = optionChosen(form, id);
      if (chosen === undefined) return undefined;
      return field.options.some(({ value }) => value === chosen)
        ? { value: chosen }
        : { problem: `“${excerpt(chosen)}” is not offered any more. Choose again.` };
    }
    case 'several': {
      const ticked = optionsTicked(form, id).filter((one) =>
        field.options.some(({ value }) => value === one),
      );
      return ticked.length === 0 ? undefined : { value: ticked };
    }
    case 'text': {
      const text = cleanText(textTyped(form, id) ?? '');
      if (text === '') return undefined;
      return text.length <= field.maxLength
        ? { value: text }
        : { problem: `${text.length} characters; the most is ${field.maxLength}. Shorten it.` };
    }
    case 'person': {
      const user = userChosen(form, id);
      return user === undefined ? undefined : { value: user };
    }
  }
}

/** A number typed into a field whose label names the unit; the unit may be typed as well. */
export function readQuantity(
  field: Field & { kind: 'quantity' },
  typed: string | undefined,
): { value: number } | { problem: string } | undefined {
  if (typed === undefined) return undefined;
  const number = plainNumber(typed);
  if (number !== null) {
    const problem = quantityProblem(field, number);
    return problem === null ? { value: number } : { problem };
  }
  const words = wordsOf(shorten(typed, room.typedNumber));
  const quantity = quantityAt(words, 0);
  if (quantity === null || (!('problem' in quantity) && quantity.used < words.length)) {
    return {
      problem: `“${excerpt(typed)}” is not a number. Write one from ${field.min} to ${field.max} ${field.unit}.`,
    };
  }
  if ('problem' in quantity) return quantity;
  const problem = unitProblem(quantity, [field.unit]) ?? quantityProblem(field, quantity.value);
  return problem === null ? { value: quantity.value } : { problem };
}
