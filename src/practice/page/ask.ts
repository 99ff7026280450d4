import type { ConfirmDialog } from '../platform/text-limits.ts';
import { focusOn, freshId, h, key } from './dom.ts';
import type { Words } from './drawing.ts';
import { textNodes } from './markup.ts';

/** Asks an element's confirm question in a native dialog; true when the person goes ahead. The focus returns. */
export function ask(words: Words, { title, text, confirm, deny, style }: ConfirmDialog): Promise<boolean> {
  const before = document.activeElement;
  const titleId = freshId('ask');
  return new Promise((resolve) => {
    const dialog: HTMLDialogElement = h(
      'dialog',
      { class: 'ask', 'aria-labelledby': titleId },
      h('h2', { id: titleId }, title.text),
      h('p', {}, textNodes(words, text)),
      h(
        'div',
        { class: 'ask-keys' },
        key(deny.text, () => dialog.close('no')),
        key(confirm.text, () => dialog.close('yes'), {
          class: `key key-${style === 'danger' ? 'danger' : 'primary'}`,
        }),
      ),
    );
    dialog.addEventListener('close', () => {
      dialog.remove();
      focusOn(before);
      resolve(dialog.returnValue === 'yes');
    });
    document.body.append(dialog);
    dialog.showModal();
  });
}
