import { choiceIn, fieldProblems } from './field-values.ts';
import type { Field, LineVerb } from './verb.ts';

const pulses = ['present', 'weak', 'absent', 'cannot tell'] as const;
const fields: readonly Field[] = [
  {
    kind: 'choice',
    id: 'pulse',
    label: 'Pulse below the site',
    required: true,
    options: [
      { value: 'present', label: 'Present', words: ['ok', 'good', 'strong'] },
      { value: 'weak', label: 'Weak', words: ['faint'] },
      { value: 'absent', label: 'Absent', words: ['no pulse', 'none'] },
      {
        value: 'cannot tell',
        label: 'Cannot tell',
        words: ['can not tell', "can't tell", 'unclear', 'unsure'],
      },
    ],
  },
  {
    kind: 'choice',
    id: 'warmth',
    label: 'The part below is',
    options: [
      { value: 'warm', label: 'Warm' },
      { value: 'cold', label: 'Cold', words: ['cool'] },
    ],
  },
];

/** The pulse below the site after the line came out, and whether the part is cold. */
export const pulse: LineVerb = {
  verb: 'pulse',
  does: 'records the pulse check after a line came out',
  example: '/artline pulse Biscuit present, warm',
  bare: false,
  when: 'out',
  fields,
  drafts(values) {
    const problems = fieldProblems(fields, values);
    const felt = choiceIn(values, 'pulse', pulses);
    if (problems.length > 0 || felt === undefined) return { problems };
    const warmth = choiceIn(values, 'warmth', ['warm', 'cold']);
    const body = warmth === undefined ? { pulse: felt } : { pulse: felt, cold: warmth === 'cold' };
    return { drafts: [{ kind: 'pulseChecked', body }] };
  },
};
