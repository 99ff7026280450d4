import { standingCaution } from '../../wording/care/line-words.ts';
import { actionValue } from '../action-value.ts';
import { type Form } from '../form.ts';
import { buttonRow, divider, type Part, smallPrint } from '../parts.ts';

/** One person's lines: what is due now with its buttons, then what comes next. its id is `mine`. */
export function mineView(wardId: string, parts: readonly Part[]): Form {
  return {
    id: 'mine',
    title: 'Mine, due now',
    close: 'Close',
    meta: actionValue({ w: wardId }),
    parts: [
      ...parts,
      divider,
      buttonRow('mine:menu', [{ action: 'open:menu', text: 'Menu', value: actionValue({ w: wardId }) }]),
      smallPrint(standingCaution),
    ],
  };
}
