import { freshId, h } from './dom.js';
import { textNodes } from './markup.js';

/** Asks an element's confirm question in a native dialog; true when the person goes ahead. The focus returns. */
export function ask(ctx, confirm) {
  const before = document.activeElement;
  const titleId = freshId('ask');
  return new Promise((resolve) => {
    const dialog = h(
      'dialog',
      { class: 'ask', 'aria-labelledby': titleId },
      h('h2', { id: titleId }, confirm.title?.text ?? 'Are you sure?'),
      h('p', {}, textNodes(ctx, confirm.text)),
      h(
        'div',
        { class: 'ask-keys' },
        h(
          'button',
          { type: 'button', class: 'key', onclick: () => dialog.close('no') },
          confirm.deny?.text ?? 'Back',
        ),
        h(
          'button',
          {
            type: 'button',
            class: `key key-${confirm.style === 'danger' ? 'danger' : 'primary'}`,
            onclick: () => dialog.close('yes'),
          },
          confirm.confirm?.text ?? 'Yes',
        ),
      ),
    );
    dialog.addEventListener('close', () => {
      dialog.remove();
      before?.focus?.();
      resolve(dialog.returnValue === 'yes');
    });
    document.body.append(dialog);
    dialog.showModal();
  });
}
