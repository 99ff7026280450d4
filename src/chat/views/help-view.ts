import type { KnownBlock, ModalView } from '@slack/web-api';
import { plain } from '../forms/input-blocks.ts';
import { limits } from '../limits.ts';

/** Help as a page of the menu: the list (`help`) or one verb's screen (`learn`). */
export function helpView(page: 'help' | 'learn', title: string, blocks: KnownBlock[]): ModalView {
  return {
    type: 'modal',
    callback_id: page,
    title: plain(title, limits.modalTitle),
    close: plain('Back', limits.modalButton),
    blocks,
  };
}
