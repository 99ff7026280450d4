import { choiceIn, fieldProblems, numberIn } from './field-values.ts';
import type { Field, FieldProblem, LineVerb } from './verb.ts';

const fields: readonly Field[] = [
  { kind: 'quantity', id: 'volume', label: 'Sample taken', unit: 'mL', min: 0.1, max: 60, required: true },
  {
    kind: 'quantity',
    id: 'discard',
    label: 'Discard drawn',
    unit: 'mL',
    min: 0,
    max: 20,
    after: ['discard', 'discarded', 'discard drawn', 'waste'],
  },
  {
    kind: 'choice',
    id: 'discardReturned',
    label: 'Discard given back',
    options: [
      { value: 'returned', label: 'Given back', words: ['discard returned', 'discard given back'] },
      { value: 'not returned', label: 'Thrown away', words: ['discard not returned', 'not given back'] },
    ],
  },
  {
    kind: 'choice',
    id: 'flushed',
    label: 'Flushed after',
    hint: 'Left empty, a flush is due at once.',
    options: [
      { value: 'flushed', label: 'Yes, flushed', words: ['flushed after', 'and flushed'] },
      { value: 'not flushed', label: 'No, not flushed yet', words: ['unflushed'] },
    ],
  },
];

/** Blood taken from the line, mL; what was drawn before it and whether that went back; the flush after it. */
export const sample: LineVerb = {
  verb: 'sample',
  does: 'records blood taken, the discard, and whether the line was flushed after: if you don’t say, a flush is due at once; says what was lost in 24 h',
  example: '/artline sample Biscuit 1 mL discard 2 mL returned, flushed after',
  bare: false,
  fields,
  drafts(values) {
    const problems: FieldProblem[] = fieldProblems(fields, values);
    const volumeMl = numberIn(values, 'volume');
    const discardMl = numberIn(values, 'discard');
    const flushed = choiceIn(values, 'flushed', ['flushed', 'not flushed']);
    const returned = choiceIn(values, 'discardReturned', ['returned', 'not returned']);
    if (returned !== undefined && discardMl === undefined) {
      problems.push({
        field: 'discard',
        message: `You said the discard was ${returned}: how much was it? 0 to 20 mL.`,
      });
    }
    if (problems.length > 0 || volumeMl === undefined) return { problems };
    const body = {
      volumeMl,
      ...(flushed === undefined ? {} : { flushed: flushed === 'flushed' }),
      ...(discardMl === undefined ? {} : { discardMl }),
      ...(returned === undefined ? {} : { discardReturned: returned === 'returned' }),
    };
    return { drafts: [{ kind: 'sampled', body }] };
  },
};
