import type { Field, LineVerb, Values } from '../../../src/chat/verbs/verb.ts';
import * as fc from '../../support/properties.ts';

/** A value that fits the field: quantities in tenths, any option, any set of options, a few plain words. */
function fittingValue(field: Field): fc.Arbitrary<number | string | string[]> {
  switch (field.kind) {
    case 'quantity':
      return fc
        .integer({ min: Math.ceil(field.min * 10), max: Math.floor(field.max * 10) })
        .map((tenths) => tenths / 10);
    case 'choice':
      return fc.constantFrom(...field.options.map(({ value }) => value));
    case 'several':
      return fc.subarray(
        field.options.map(({ value }) => value),
        { minLength: 1 },
      );
    case 'text':
      return fc
        .array(fc.stringMatching(/^[a-z]{1,9}$/), { minLength: 1, maxLength: 6 })
        .map((words) => words.join(' '));
    case 'person':
      return fc.stringMatching(/^U[A-Z0-9]{6,10}$/);
  }
}

/** Values of a verb that fit field by field: required ones always there, the others now and then. */
export function fittingValues(verb: LineVerb): fc.Arbitrary<Values> {
  const required = verb.fields.filter((field) => field.required).map(({ id }) => id);
  return fc.record(Object.fromEntries(verb.fields.map((field) => [field.id, fittingValue(field)])), {
    requiredKeys: required,
  });
}
