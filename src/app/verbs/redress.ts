import { fieldProblems, findingIn, findingOptions } from './field-values.ts';
import type { Field, LineVerb } from './verb.ts';

const fields: readonly Field[] = [
  {
    kind: 'several',
    id: 'findings',
    label: 'What you saw at the site and below it',
    hint: 'Tick nothing when you looked and nothing was amiss.',
    options: findingOptions.filter(({ value }) => value !== 'soiled'),
  },
];

/** A new dressing, with what was seen while it was off. */
export const redress: LineVerb = {
  verb: 'redress',
  does: 'records a new dressing and what you saw under it; it counts as a site check',
  example: '/artline redress Biscuit nothing amiss',
  bare: true,
  fields,
  tellings(values) {
    const problems = fieldProblems(fields, values);
    if (problems.length > 0) return { problems };
    return { tellings: [{ kind: 'redressed', body: { finding: findingIn(values, 'findings') } }] };
  },
};
