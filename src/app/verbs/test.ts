import { testVerdicts } from '../../domain/record/entry.ts';
import { choiceIn, fieldProblems } from './field-values.ts';
import type { Field, LineVerb } from './verb.ts';

const fields: readonly Field[] = [
  {
    kind: 'choice',
    id: 'verdict',
    label: 'Trace after the fast flush',
    required: true,
    options: [
      { value: 'normal', label: 'Normal', words: ['ok', 'good', 'fine'] },
      {
        value: 'underdamped',
        label: 'Underdamped: rings too long',
        words: ['under', 'ringing', 'rings', 'rings too long'],
      },
      {
        value: 'overdamped',
        label: 'Overdamped: slurred, slow',
        words: ['over', 'slurred', 'slow'],
      },
      {
        value: 'cannot tell',
        label: 'Cannot tell',
        words: ['can not tell', "can't tell", 'unclear', 'unsure'],
      },
    ],
  },
];

/** The fast-flush test and what was seen. */
export const test: LineVerb = {
  verb: 'test',
  does: 'records the fast-flush test and what the trace did',
  example: '/artline test Biscuit normal',
  bare: false,
  fields,
  tellings(values) {
    const problems = fieldProblems(fields, values);
    const verdict = choiceIn(values, 'verdict', testVerdicts);
    if (problems.length > 0 || verdict === undefined) return { problems };
    return { tellings: [{ kind: 'fastFlushTested', body: { verdict } }] };
  },
};
