import { fieldProblems, findingIn, findingOptions, textIn } from './field-values.ts';
import type { Field, LineVerb } from './verb.ts';

const fields: readonly Field[] = [
  {
    kind: 'several',
    id: 'findings',
    label: 'What you saw at the site and below it',
    hint: 'Tick nothing when you looked and nothing was amiss.',
    options: findingOptions,
  },
  { kind: 'text', id: 'note', label: 'Note', maxLength: 500 },
];

/** A look at the site and the part below it: swelling, pain, ooze, warmth, pulse, dressing. */
export const check: LineVerb = {
  verb: 'check',
  does: 'records a site and limb check; with nothing named, nothing was amiss',
  example: '/artline check Biscuit nothing amiss',
  bare: true,
  when: 'both',
  fields,
  tellings(values) {
    const problems = fieldProblems(fields, values);
    if (problems.length > 0) return { problems };
    const note = textIn(values, 'note');
    const finding = findingIn(values, 'findings');
    return {
      tellings: [{ kind: 'siteChecked', body: note === undefined ? { finding } : { finding, note } }],
    };
  },
};
