import { type Caution, cautions } from '../../domain/placing/screening.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import { capital, listed } from '../../wording/care/duty-words.ts';
import { cautionRow, kitList } from '../../wording/care/screening-words.ts';
import { rich } from '../../wording/rich-text.ts';
import { type FormErrors, type Sent } from '../form.ts';
import { type SmallPrint, smallPrint } from '../parts.ts';
import { type Question } from '../question.ts';
import { severalInput } from './questions.ts';
import { optionsTicked } from './view-state.ts';

const none = 'none';
const notLooked = 'not looked at';

/**
 * What speaks against placing a line, to tick; a list left empty is no answer. `found`: ticked already, as `readCautions`
 * gives it, null where nobody looked. `stands`: a look is on record, and it can't be unticked.
 */
export function cautionsInput(
  policy: WardPolicy,
  found?: readonly Caution[] | null,
  { label = 'Reasons not to place it', stands = false } = {},
): Question {
  return severalInput({
    id: 'cautions',
    label,
    choices: [
      ...(stands
        ? []
        : [{ value: notLooked, label: 'Not looked at', description: 'The card then says: not screened.' }]),
      { value: none, label: 'None of these', description: 'Looked at each; none applies.' },
      ...cautions.map((caution) => {
        const { label, means } = cautionRow(caution, policy);
        const decided = policy.overrideFor.includes(caution) ? ' (a clinician decides)' : '';
        return { value: caution, label: label + decided, description: means };
      }),
    ],
    initial: found === null ? [notLooked] : found?.length === 0 ? [none] : found,
  });
}

/** What to have at hand before a line is placed. */
export function kitBlock(policy: WardPolicy): SmallPrint {
  const rows = kitList(policy).map((row) => `• ${capital(row)}`);
  return smallPrint(rich`*At hand*\n${rows.join('\n')}`);
}

/** The cautions ticked, empty where it was ticked that none is so; null where it was ticked that nobody looked; or what cannot be. */
export function readCautions(
  form: Sent,
  { stands = false } = {},
): { found: Caution[] } | { errors: FormErrors } | null {
  const ticked = optionsTicked(form, 'cautions');
  const found = cautions.filter((caution) => ticked.includes(caution));
  const named = [
    ...(ticked.includes(notLooked) ? ['“Not looked at”'] : []),
    ...(ticked.includes(none) ? ['“None of these”'] : []),
    ...(found.length > 0 ? [`“${found.join(', ')}”`] : []),
  ];
  if (named.length > 1) {
    return { errors: { cautions: `${listed(named)} are both ticked. Untick the one that’s wrong.` } };
  }
  if (named.length === 0) return { errors: { cautions: stands ? nothingTicked : nothingAnswered } };
  return ticked.includes(notLooked) ? null : { found };
}

const nothingTicked = 'Nothing is ticked. Tick what applies, or “None of these”.';
const nothingAnswered =
  'Nothing is ticked. Tick what applies, “None of these” if you looked, or “Not looked at”.';
