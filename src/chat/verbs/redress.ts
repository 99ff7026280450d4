import { fieldProblems } from './field-values.ts';
import { findingsField, lookUnsaid, siteAloneField, siteLook } from './site-look.ts';
import type { Field, LineVerb } from './verb.ts';

const fields: readonly Field[] = [siteAloneField, findingsField()];

/** A new dressing, with what was seen while it was off; a site nobody looked at is still to be looked at. */
export const redress: LineVerb = {
  verb: 'redress',
  does: 'records a new dressing and what you saw under it, which counts as a site check; it asks if you don’t say',
  example: '/artline redress Biscuit nothing amiss',
  bare: false,
  fields,
  drafts(values) {
    const problems = fieldProblems(fields, values);
    const look = siteLook(values) ?? { problem: lookUnsaid };
    if (look === 'not looked at') {
      return problems.length > 0 ? { problems } : { drafts: [{ kind: 'redressed', body: {} }] };
    }
    if ('problem' in look) return { problems: [...problems, look.problem] };
    return problems.length > 0 ? { problems } : { drafts: [{ kind: 'redressed', body: look }] };
  },
};
