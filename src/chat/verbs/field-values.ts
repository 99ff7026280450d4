import type { SiteFinding } from '../../domain/record/entry.ts';
import type { Field, FieldProblem, Option, Unit, Values } from './verb.ts';

/** A quantity as people read it: at most six digits, so that `0.1 + 0.2` is `0.3 mL`. */
export function quantityText(value: number, unit: Unit): string {
  return `${Number(value.toPrecision(6))} ${unit}`;
}

/** What is wrong with a quantity (in the field's unit), and what is taken instead; null when it fits. */
export function quantityProblem(field: Field & { kind: 'quantity' }, value: number): string | null {
  if (value >= field.min && value <= field.max) return null;
  const given = Number.isFinite(value) ? quantityText(value, field.unit) : 'That';
  return `${field.label}: ${given} cannot be right. Give ${field.min} to ${field.max} ${field.unit}.`;
}

/** What is wrong with one value of one field; null when it fits. */
function problemOf(field: Field, value: Values[string] | undefined): string | null {
  if (value === undefined) return field.required ? `${field.label} is needed. ${remedy(field)}` : null;
  switch (field.kind) {
    case 'quantity':
      return typeof value === 'number'
        ? quantityProblem(field, value)
        : `${field.label}: give a number in ${field.unit}.`;
    case 'choice':
      return field.options.some((option) => option.value === value)
        ? null
        : `${field.label}: ${remedy(field)}`;
    case 'several':
      return Array.isArray(value) &&
        value.every((one) => field.options.some((option) => option.value === one))
        ? null
        : `${field.label}: ${remedy(field)}`;
    case 'text':
      if (typeof value !== 'string') return `${field.label}: write it in words.`;
      return value.length <= field.maxLength
        ? null
        : `${field.label} has ${value.length} characters; the most is ${field.maxLength}. Shorten it.`;
    case 'person':
      return typeof value === 'string' && value.length > 0 ? null : `${field.label}: choose a person.`;
  }
}

function remedy(field: Field): string {
  switch (field.kind) {
    case 'quantity':
      return `Give ${field.min} to ${field.max} ${field.unit}.`;
    case 'choice':
    case 'several':
      return `Choose one of: ${field.options.map(({ label }) => label).join('; ')}.`;
    case 'text':
      return 'Write it in a few words.';
    case 'person':
      return 'Choose a person.';
  }
}

/** Everything that is wrong with values by the fields' own bounds; empty when each fits. */
export function fieldProblems(fields: readonly Field[], values: Values): FieldProblem[] {
  return fields.flatMap((field) => {
    if (field.formOnly && values[field.id] === undefined) return [];
    const message = problemOf(field, values[field.id]);
    return message === null ? [] : [{ field: field.id, message }];
  });
}

/** The number recorded for a quantity, in its field's unit. */
export function numberIn(values: Values, id: string): number | undefined {
  const value = values[id];
  return typeof value === 'number' ? value : undefined;
}

/** The choice recorded, when it is one of `allowed`. */
export function choiceIn<T extends string>(values: Values, id: string, allowed: readonly T[]): T | undefined {
  return allowed.find((one) => one === values[id]);
}

/** The text recorded, trimmed; undefined when there is none. */
export function textIn(values: Values, id: string): string | undefined {
  const value = values[id];
  const text = typeof value === 'string' ? value.trim() : '';
  return text === '' ? undefined : text;
}

/** What may be seen at the site and below it; the values are the record's own keys. */
export const findingOptions = [
  { value: 'swelling', label: 'Swelling', words: ['swollen'] },
  { value: 'pain', label: 'Pain', words: ['painful', 'sore'] },
  { value: 'ooze', label: 'Ooze or bleeding', words: ['oozing', 'bleeding', 'blood'] },
  {
    value: 'cold',
    label: 'Cold below the site',
    words: ['cold', 'cool', 'cold paw', 'cold foot', 'cold limb', 'paw cold', 'foot cold', 'limb cold'],
  },
  { value: 'noPulse', label: 'No pulse below', words: ['no pulse', 'pulseless'] },
  { value: 'soiled', label: 'Dressing soiled or loose', words: ['soiled', 'dirty', 'wet', 'loose'] },
] as const satisfies readonly (Option & { value: keyof SiteFinding })[];

/** The findings ticked; none ticked is looked at and unremarkable. */
export function findingIn(values: Values, id: string): SiteFinding {
  const ticked = values[id];
  if (!Array.isArray(ticked)) return {};
  return Object.fromEntries(
    findingOptions.filter(({ value }) => ticked.includes(value)).map(({ value }) => [value, true]),
  );
}
