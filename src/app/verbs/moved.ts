import { choiceIn, fieldProblems } from './field-values.ts';
import type { Field, LineVerb } from './verb.ts';

const hows = ['moved', 'repositioned', 'disconnected'] as const;
const fields: readonly Field[] = [
  {
    kind: 'choice',
    id: 'how',
    label: 'What happened',
    initial: 'moved',
    options: [
      { value: 'moved', label: 'Line or transducer was moved', words: ['transducer', 'transducer moved'] },
      {
        value: 'repositioned',
        label: 'Patient was turned or lifted',
        words: ['turned', 'lifted', 'patient turned'],
      },
      { value: 'disconnected', label: 'Line was disconnected', words: ['disconnect', 'opened'] },
    ],
  },
];

/** A disturbance: zero and level are due at once after it. */
export const moved: LineVerb = {
  verb: 'moved',
  does: 'records that the line, the transducer or the patient was moved; zero and level are then due at once',
  example: '/artline moved Biscuit disconnected',
  bare: true,
  fields,
  tellings(values) {
    const problems = fieldProblems(fields, values);
    if (problems.length > 0) return { problems };
    return { tellings: [{ kind: 'disturbed', body: { how: choiceIn(values, 'how', hows) ?? 'moved' } }] };
  },
};
