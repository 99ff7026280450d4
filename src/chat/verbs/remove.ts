import type { DraftOf } from '../../domain/record/entry.ts';
import { removalReasons } from '../../domain/record/removal-reasons.ts';
import { choiceIn, fieldProblems } from './field-values.ts';
import { findingsField, siteField, siteLook } from './site-look.ts';
import type { Field, LineVerb } from './verb.ts';

const fields: readonly Field[] = [
  {
    kind: 'choice',
    id: 'reason',
    label: 'Why it came out',
    required: true,
    hint: 'If it isn’t working, check for a kink and check the taps before you pull it.',
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
    required: true,
    formOnly: true,
    options: [
      { value: 'tip whole', label: 'Yes, whole', words: ['whole', 'tip intact', 'intact'] },
      {
        value: 'tip not whole',
        label: 'No: a piece is missing',
        words: ['not whole', 'tip broken', 'tip not intact', 'not intact', 'piece missing'],
      },
      {
        value: 'every piece found',
        label: 'No, but every piece is here',
        words: ['every piece found', 'all pieces found', 'piece found'],
      },
      { value: 'tip not looked at', label: 'Not looked at', words: ['tip not seen'] },
    ],
  },
  { ...siteField, formOnly: true },
  findingsField(),
];

/** What each answer about the tip records; not looked at is nothing recorded. */
const tipBodies: Readonly<Record<string, Pick<DraftOf<'removed'>['body'], 'tipWhole' | 'pieceFound'>>> = {
  'tip whole': { tipWhole: true },
  'tip not whole': { tipWhole: false },
  'every piece found': { tipWhole: false, pieceFound: true },
};

/** The line taken out, why, and what was seen; hold pressure and pulse checks follow from it. */
export const remove: LineVerb = {
  verb: 'remove',
  does: 'records that the line came out and why; the hold and the pulse checks follow',
  example: '/artline remove Biscuit planned, tip whole',
  bare: false,
  fields,
  drafts(values) {
    const problems = fieldProblems(fields, values);
    const reason = choiceIn(values, 'reason', removalReasons);
    const look = siteLook(values);
    if (look !== null && look !== 'not looked at' && 'problem' in look) problems.push(look.problem);
    if (problems.length > 0 || reason === undefined) return { problems };
    // Words that say nothing of the site are not looked at: a line that fell out at night was not seen by whoever records it.
    const looked = look !== null && look !== 'not looked at' && 'finding' in look ? look : {};
    const body = { reason, ...looked, ...tipBodies[String(values.tip)] };
    return { drafts: [{ kind: 'removed', body }] };
  },
};
