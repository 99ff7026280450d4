import { fieldProblems, textIn } from './field-values.ts';
import { findingsField, lookUnsaid, siteAloneField, siteLook } from './site-look.ts';
import type { Field, FieldProblem, LineVerb } from './verb.ts';

const fields: readonly Field[] = [
  siteAloneField,
  findingsField({ soiled: true }),
  { kind: 'text', id: 'note', label: 'Note', maxLength: 500 },
];

const noteUnseen: FieldProblem = {
  field: 'note',
  message:
    'Nobody looked, so there is nothing to note here. Take the note off, or press “Cannot…” to say why.',
};

/** A look at the site and the part below it: swelling, pain, ooze, warmth, pulse, dressing. Not looked at is no check. */
export const check: LineVerb = {
  verb: 'check',
  does: 'records a site and limb check: what you saw, or that nothing was amiss; it asks if you say neither',
  example: '/artline check Biscuit nothing amiss',
  bare: false,
  when: 'both',
  fields,
  drafts(values) {
    const problems = fieldProblems(fields, values);
    const look = siteLook(values) ?? { problem: lookUnsaid };
    const note = textIn(values, 'note');
    if (look === 'not looked at') {
      if (note !== undefined) problems.push(noteUnseen);
      return problems.length > 0 ? { problems } : { drafts: [] };
    }
    if ('problem' in look) return { problems: [...problems, look.problem] };
    if (problems.length > 0) return { problems };
    const { finding } = look;
    return {
      drafts: [{ kind: 'siteChecked', body: note === undefined ? { finding } : { finding, note } }],
    };
  },
};
