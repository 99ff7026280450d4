import { choiceIn, fieldProblems, numberIn } from './field-values.ts';
import type { Field, LineVerb } from './verb.ts';

const fields: readonly Field[] = [
  {
    kind: 'quantity',
    id: 'height',
    label: 'Found off the heart',
    unit: 'cm',
    min: 0,
    max: 100,
    hint: 'Leave empty when the transducer was at heart level.',
  },
  {
    kind: 'choice',
    id: 'where',
    label: 'Transducer was found',
    options: [
      { value: 'below', label: 'Below the heart', words: ['under', 'low', 'too low', 'lower'] },
      { value: 'above', label: 'Above the heart', words: ['over', 'high', 'too high', 'higher'] },
    ],
  },
];

/** The transducer put level with the heart; how far off it was found, in cm. */
export const level: LineVerb = {
  verb: 'level',
  does: 'records that the transducer was put level with the heart, and says what its height had done to the pressures',
  example: '/artline level Biscuit 8 cm below',
  bare: true,
  fields,
  drafts(values) {
    const problems = fieldProblems(fields, values);
    if (problems.length > 0) return { problems };
    const height = numberIn(values, 'height');
    const where = choiceIn(values, 'where', ['below', 'above']);
    if (height === undefined && where !== undefined) {
      return {
        problems: [
          {
            field: 'height',
            message: `The transducer was found ${where} the heart: give how far, 0 to 100 cm.`,
          },
        ],
      };
    }
    if (height !== undefined && height > 0 && where === undefined) {
      return {
        problems: [
          {
            field: 'where',
            message: `The transducer was found ${height} cm off: say below or above the heart.`,
          },
        ],
      };
    }
    if (height === undefined || height === 0) return { drafts: [{ kind: 'levelled', body: {} }] };
    return { drafts: [{ kind: 'levelled', body: { belowHeartCm: where === 'above' ? -height : height } }] };
  },
};
