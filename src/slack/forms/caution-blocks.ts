import type { ContextBlock, InputBlock } from '@slack/web-api';
import { type Caution, cautions } from '../../domain/placing/screening.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import { escaped } from '../text.ts';
import { capital } from '../wording/duty-words.ts';
import { cautionRow, kitList } from '../wording/screening-words.ts';
import { remark } from './form-view.ts';
import { severalInput } from './input-blocks.ts';
import { type FormErrors, optionsTicked, type Submitted } from './view-state.ts';

const none = 'none';

/** What speaks against placing a line, to tick. `found`: ticked already, as `readCautions` gives it. */
export function cautionsInput(
  policy: WardPolicy,
  found?: readonly Caution[],
  label = 'What speaks against it',
): InputBlock {
  return severalInput({
    id: 'cautions',
    label,
    hint: 'Nothing ticked means that nobody looked.',
    optional: true,
    choices: [
      { value: none, label: 'None of these', description: 'Looked at each of them; none is so.' },
      ...cautions.map((caution) => {
        const { label, means } = cautionRow(caution, policy);
        const decided = policy.overrideFor.includes(caution) ? ' (a clinician decides)' : '';
        return { value: caution, label: label + decided, description: means };
      }),
    ],
    initial: found?.length === 0 ? [none] : found,
  });
}

/** What to have at hand before a line is placed. */
export function kitBlock(policy: WardPolicy): ContextBlock {
  const rows = kitList(policy).map((row) => `• ${escaped(capital(row))}`);
  return remark(`*At hand*\n${rows.join('\n')}`);
}

/** The cautions ticked, empty where it was ticked that none is so; null where nobody looked; or what cannot be. */
export function readCautions(form: Submitted): { found: Caution[] } | { errors: FormErrors } | null {
  const ticked = optionsTicked(form, 'cautions');
  const found = cautions.filter((caution) => ticked.includes(caution));
  if (!ticked.includes(none)) return found.length === 0 ? null : { found };
  return found.length === 0
    ? { found }
    : {
        errors: {
          cautions: `“None of these” and “${found.join(', ')}” are both ticked. Untick what is not so.`,
        },
      };
}
