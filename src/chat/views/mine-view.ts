import type { KnownBlock, ModalView } from '@slack/web-api';
import { actionValue } from '../action-value.ts';
import { actions, context } from '../messages/blocks.ts';
import { standingCaution } from '../wording/line-words.ts';

/** One person's lines: what is due now with its buttons, then what comes next. `callback_id` is `mine`. */
export function mineView(wardId: string, blocks: readonly KnownBlock[]): ModalView {
  return {
    type: 'modal',
    callback_id: 'mine',
    title: { type: 'plain_text', text: 'Mine, due now' },
    close: { type: 'plain_text', text: 'Close' },
    private_metadata: actionValue({ w: wardId }),
    blocks: [
      ...blocks,
      { type: 'divider' },
      actions('mine:menu', [{ action: 'open:menu', text: 'Menu', value: actionValue({ w: wardId }) }]),
      context(standingCaution),
    ],
  };
}
