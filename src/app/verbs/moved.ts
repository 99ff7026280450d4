import { choiceIn, fieldProblems, numberIn } from './field-values.ts';
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
  {
    kind: 'quantity',
    id: 'lost',
    label: 'Blood lost, if it came apart',
    unit: 'mL',
    min: 0,
    max: 5000,
    after: ['blood lost', 'lost', 'bled'],
    hint: 'As near as you can guess: bedding, swabs, floor. It counts with the samples.',
  },
];

/** A disturbance: zero and level are due at once after it. */
export const moved: LineVerb = {
  verb: 'moved',
  does: 'records that the line, the transducer or the patient was moved, or that the line came apart and what it bled; zero and level are then due at once',
  example: '/artline moved Biscuit disconnected',
  bare: true,
  fields,
  tellings(values) {
    const problems = fieldProblems(fields, values);
    const bloodLostMl = numberIn(values, 'lost');
    const how = choiceIn(values, 'how', hows) ?? 'moved';
    if (bloodLostMl !== undefined && how !== 'disconnected')
      problems.push({
        field: 'lost',
        message:
          'Blood is lost by a line that came apart: choose “Line was disconnected”, or leave it empty.',
      });
    if (problems.length > 0) return { problems };
    const body = { how, ...(bloodLostMl === undefined ? {} : { bloodLostMl }) };
    return { tellings: [{ kind: 'disturbed', body }] };
  },
};
