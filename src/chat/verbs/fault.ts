import { faultSigns } from '../../domain/fault/fault-questions.ts';
import { choiceIn, fieldProblems } from './field-values.ts';
import type { Field, LineVerb } from './verb.ts';

const fields: readonly Field[] = [
  {
    kind: 'choice',
    id: 'sign',
    label: 'What is wrong',
    required: true,
    options: [
      {
        value: 'flat',
        label: 'Flat: small, slurred, damped',
        words: ['flat trace', 'damped', 'overdamped', 'slurred', 'small'],
      },
      {
        value: 'spiky',
        label: 'Spiky: overshoots, rings',
        words: ['spiky trace', 'ringing', 'rings', 'spikes', 'overshoots', 'underdamped', 'whip'],
      },
      { value: 'none', label: 'None: no trace at all', words: ['no trace', 'nothing', 'gone', 'lost'] },
      {
        value: 'drifting',
        label: 'Drifting: numbers wander',
        words: ['drift', 'drifts', 'wanders', 'wandering'],
      },
      {
        value: 'blocked',
        label: 'Blocked: draws or flushes badly',
        words: ['occluded', 'no blood', 'does not draw', 'does not flush', 'resists', 'clotted'],
      },
    ],
  },
];

/** Something is wrong with the trace: opens the path of questions for its sign. */
export const fault: LineVerb = {
  verb: 'fault',
  does: 'takes you through a trace that is flat, spiky, none or drifting, or a line that is blocked, one question at a time, the patient first; if it isn’t resolved, the clinician on call is told',
  example: '/artline fault Biscuit flat',
  bare: false,
  fields,
  drafts(values) {
    const problems = fieldProblems(fields, values);
    const sign = choiceIn(values, 'sign', faultSigns);
    if (problems.length > 0 || sign === undefined) return { problems };
    return { drafts: [{ kind: 'faultOpened', body: { sign } }] };
  },
};
