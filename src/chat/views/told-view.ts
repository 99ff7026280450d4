import type { KnownBlock, ModalView } from '@slack/web-api';
import { actionValue } from '../action-value.ts';
import { section } from '../messages/blocks.ts';

/** What a tap in a form came to, in the form's place: nobody has to look for it beside. `callback_id` is `told`. */
export function toldView(wardId: string, words: string, blocks?: readonly KnownBlock[]): ModalView {
  return {
    type: 'modal',
    callback_id: 'told',
    title: { type: 'plain_text', text: 'Recorded' },
    close: { type: 'plain_text', text: 'Close' },
    private_metadata: actionValue({ w: wardId }),
    blocks: [...(blocks ?? [section(words)])],
  };
}
