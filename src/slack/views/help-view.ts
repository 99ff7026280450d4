import type { KnownBlock, ModalView } from '@slack/web-api';

/** Help as a page of the menu. */
export function helpView({ blocks }: { blocks: KnownBlock[] }): ModalView {
  return {
    type: 'modal',
    callback_id: 'help',
    title: { type: 'plain_text', text: 'Help' },
    close: { type: 'plain_text', text: 'Back' },
    blocks,
  };
}
