import { type Question } from '../question.ts';
import type { Field, Values } from '../verbs/verb.ts';
import { choiceInput, decimalText, numberInput, personInput, severalInput, textInput } from './questions.ts';

/** The inputs that ask a verb's fields, in their order, filled with what is known. */
export function fieldQuestions(fields: readonly Field[], values: Values = {}): Question[] {
  return fields.map((field) => fieldQuestion(field, values[field.id]));
}

function fieldQuestion(field: Field, value: Values[string] | undefined): Question {
  const asking = { id: field.id, label: field.label, hint: field.hint, optional: field.required !== true };
  const told = typeof value === 'string' ? value : undefined;
  switch (field.kind) {
    case 'quantity':
      return quantityQuestion(field, typeof value === 'number' ? value : undefined);
    case 'choice':
      return choiceInput({ ...asking, choices: field.options, initial: told ?? field.initial });
    case 'several':
      return severalInput({
        ...asking,
        choices: field.options,
        initial: Array.isArray(value) ? value : undefined,
      });
    case 'text':
      return textInput({
        ...asking,
        maxLength: field.maxLength,
        initial: told,
        focused: field.focused === true,
      });
    case 'person':
      return personInput({ ...asking, initial: told });
  }
}

function quantityQuestion(field: Field & { kind: 'quantity' }, value: number | undefined): Question {
  const { id, unit, min, max } = field;
  const asking = {
    id,
    label: `${field.label} (${unit})`,
    hint: [field.hint, `${decimalText(min)} to ${decimalText(max)} ${unit}.`].filter(Boolean).join(' '),
    optional: field.required !== true,
  };
  if (min >= 0) return numberInput({ ...asking, initial: value });
  // The number pad of some phones has no minus sign.
  return textInput({
    ...asking,
    maxLength: 12,
    initial: value === undefined ? undefined : decimalText(value),
  });
}
