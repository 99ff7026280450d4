import type { Telling } from '../../domain/record/entry.ts';
import { choiceIn, fieldProblems, numberIn } from './field-values.ts';
import type { Field, LineVerb } from './verb.ts';

const fields: readonly Field[] = [
  {
    kind: 'quantity',
    id: 'openToAir',
    label: 'Monitor showed open to air',
    unit: 'mmHg',
    min: -300,
    max: 300,
    after: ['open to air', 'showed', 'monitor showed', 'offset'],
    hint: 'Before zeroing; below 0 with a minus. Leave empty when nobody looked.',
  },
  {
    kind: 'choice',
    id: 'level',
    label: 'Levelled at the heart as well',
    initial: 'levelled',
    options: [
      { value: 'levelled', label: 'Yes, zeroed and levelled', words: ['level', 'leveled', 'and levelled'] },
      {
        value: 'not levelled',
        label: 'No, zeroed only',
        words: ['not leveled', 'not level', 'zeroed only', 'only'],
      },
    ],
  },
];

/** Zeroing, done together with levelling unless told otherwise; what was seen open to air, in mmHg. */
export const zero: LineVerb = {
  verb: 'zero',
  does: 'records that the line was zeroed, and levelled at the heart unless you say not',
  example: '/artline zero Biscuit open to air 3 mmHg',
  bare: true,
  fields,
  tellings(values) {
    const problems = fieldProblems(fields, values);
    if (problems.length > 0) return { problems };
    const openToAirMmHg = numberIn(values, 'openToAir');
    const alone = choiceIn(values, 'level', ['not levelled']) !== undefined;
    const zeroed: Telling = { kind: 'zeroed', body: openToAirMmHg === undefined ? {} : { openToAirMmHg } };
    return { tellings: alone ? [zeroed] : [{ kind: 'levelled', body: {} }, zeroed] };
  },
};
