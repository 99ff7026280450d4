import { actionValue } from '../action-value.ts';
import { type Form } from '../form.ts';
import { type Part, paragraph } from '../parts.ts';

/** What a tap in a form came to, in the form's place: nobody has to look for it beside. its id is `told`. */
export function recordedView(wardId: string, words: string, parts?: readonly Part[]): Form {
  return {
    id: 'told',
    title: 'Recorded',
    close: 'Close',
    meta: actionValue({ w: wardId }),
    parts: [...(parts ?? [paragraph(words)])],
  };
}
