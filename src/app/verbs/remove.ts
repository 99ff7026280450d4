import { removalReasons } from '../../domain/record/entry.ts';
import { choiceIn, fieldProblems, findingIn, findingOptions } from './field-values.ts';
import type { Field, LineVerb } from './verb.ts';

const fields: readonly Field[] = [
  {
    kind: 'choice',
    id: 'reason',
    label: 'Why it came out',
    required: true,
    options: [
      { value: 'planned', label: 'Planned: no longer needed', words: ['not needed', 'no longer needed'] },
      { value: 'dwell limit', label: 'Dwell limit reached', words: ['limit', 'dwell'] },
      { value: 'occluded', label: 'Occluded', words: ['clotted', 'blocked', 'clot'] },
      { value: 'dislodged', label: 'Dislodged or pulled out', words: ['dislodged', 'pulled out', 'chewed'] },
      { value: 'bleeding', label: 'Bleeding' },
      { value: 'swelling', label: 'Swelling or haematoma', words: ['swelling', 'haematoma', 'hematoma'] },
      { value: 'infection', label: 'Infection', words: ['infected', 'pus'] },
      {
        value: 'pulse or limb change',
        label: 'Pulse or limb change',
        words: ['limb change', 'pulse change', 'ischaemia', 'ischemia'],
      },
      { value: 'death', label: 'Death', words: ['died', 'dead', 'euthanised', 'euthanized'] },
      { value: 'transfer', label: 'Transfer', words: ['transferred', 'moved ward'] },
    ],
  },
  {
    kind: 'choice',
    id: 'tip',
    label: 'Catheter tip whole',
    options: [
      { value: 'tip whole', label: 'Yes, whole', words: ['whole', 'tip intact', 'intact'] },
      {
        value: 'tip not whole',
        label: 'No, not whole',
        words: ['not whole', 'tip broken', 'tip not intact', 'not intact'],
      },
    ],
  },
  {
    kind: 'several',
    id: 'findings',
    label: 'What you saw at the site and below it',
    options: findingOptions.filter(({ value }) => value !== 'soiled'),
  },
];

/** The line taken out, why, and what was seen; hold pressure and pulse checks follow from it. */
export const remove: LineVerb = {
  verb: 'remove',
  does: 'records that the line came out and why; the hold and the pulse checks follow',
  example: '/artline remove Biscuit planned, tip whole',
  bare: false,
  fields,
  tellings(values) {
    const problems = fieldProblems(fields, values);
    const reason = choiceIn(values, 'reason', removalReasons);
    if (problems.length > 0 || reason === undefined) return { problems };
    const tip = choiceIn(values, 'tip', ['tip whole', 'tip not whole']);
    const finding = findingIn(values, 'findings');
    const body = {
      reason,
      // Nothing ticked is nothing told: a line that fell out at night was not looked at by whoever tells it.
      ...(Object.keys(finding).length === 0 ? {} : { finding }),
      ...(tip === undefined ? {} : { tipWhole: tip === 'tip whole' }),
    };
    return { tellings: [{ kind: 'removed', body }] };
  },
};
