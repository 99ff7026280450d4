import { blockNode } from './blocks.js';
import { freshId, h, keepFocus } from './dom.js';
import { plain } from './markup.js';
import { groupKinds, picker } from './pickers.js';

/** Draws one input block with its label, hint and error, and registers how to read it. */
function field(ctx, view, block, fields) {
  const { element } = block;
  const key = `${block.block_id}/${element.action_id}`;
  const id = freshId('field');
  const error = view.errors[block.block_id];
  const hintId = block.hint ? `${id}-hint` : null;
  const errorId = error ? `${id}-error` : null;
  const isGroup = groupKinds.has(element.type);
  const held = view.state.values[block.block_id]?.[element.action_id];
  const { node, read } = picker(ctx, element, held, {
    id,
    'data-key': key,
    'aria-describedby': [errorId, hintId].filter(Boolean).join(' ') || null,
    'aria-invalid': error ? 'true' : null,
    'aria-required': block.optional || isGroup ? null : 'true',
    'data-focus': element.focus_on_load ? 'true' : null,
  });
  fields.set(key, { read, blockId: block.block_id, actionId: element.action_id, node });
  if (block.dispatch_action)
    node.addEventListener('change', () =>
      ctx.press({ actionId: element.action_id, blockId: block.block_id, selected: read() }),
    );
  const label = [
    plain(block.label.text),
    block.optional ? h('span', { class: 'field-optional' }, ' (may stay empty)') : null,
  ];
  const rest = [
    hintId ? h('p', { class: 'field-hint', id: hintId }, plain(block.hint.text)) : null,
    node,
    errorId
      ? h(
          'p',
          { class: 'field-error', id: errorId },
          h('span', { 'aria-hidden': 'true' }, '▲ '),
          plain(error),
        )
      : null,
  ];
  const className = `field${error ? ' field-wrong' : ''}`;
  return isGroup
    ? h('fieldset', { class: className }, h('legend', {}, label), rest)
    : h('div', { class: className }, h('label', { for: id }, label), rest);
}

function copyTyped(from, to) {
  if (to.matches('input:not([type="file"]), textarea, select')) to.value = from.value;
  for (const box of to.querySelectorAll('input[type="radio"], input[type="checkbox"]')) {
    const same = from.querySelector(`input[value="${CSS.escape(box.value)}"]`);
    if (same) box.checked = same.checked;
  }
}

/** The form that covers a reader while one is open for that person. */
export function sheet(reader) {
  const holder = h('div', { class: 'sheet-holder' });
  let shown = null;
  let fields = new Map();
  let opener = null;
  let body = null;

  const values = () => Object.fromEntries([...fields].map(([key, { read }]) => [key, read()]));

  const say = (text) => {
    holder.querySelector('.sheet-said').textContent = text;
  };

  const focusFirst = () => {
    const wrong = body.querySelector('[aria-invalid="true"]');
    const asked = body.querySelector('[data-focus]');
    const first = body.querySelector('input, select, textarea, button');
    (wrong ?? asked ?? first ?? body).focus();
  };

  const submit = async (event) => {
    event.preventDefault();
    const send = holder.querySelector('.sheet-send');
    if (send.getAttribute('aria-disabled') === 'true') return;
    send.setAttribute('aria-disabled', 'true');
    say('');
    const answer = await reader.act({ kind: 'submit', viewId: shown.id, values: values() });
    await reader.refresh();
    holder.querySelector('.sheet-send')?.removeAttribute('aria-disabled');
    if (!shown || answer.accepted) return;
    if (answer.problem) say(answer.problem);
    else if (Object.keys(answer.errors ?? {}).length > 0) focusFirst();
    else say('The bot did not answer in time. The form is still as you filled it; send it again.');
  };

  const close = async () => {
    await reader.act({ kind: 'close', viewId: shown.id });
    await reader.refresh();
  };

  const draw = (view) => {
    fields = new Map();
    const ctx = {
      ...reader.ctx(),
      press: (press) => reader.pressInView(view.id, press, values()),
      heldIn: (block, element) => view.state.values[block.block_id]?.[element.action_id],
    };
    const titleId = freshId('sheet');
    body = h(
      'form',
      { class: 'sheet-body', novalidate: true, tabindex: '-1', onsubmit: submit, id: freshId('form') },
      view.blocks.map((block) =>
        block.type === 'input' ? field(ctx, view, block, fields) : blockNode(ctx, block, 'h3'),
      ),
      h('p', { class: 'sheet-said', role: 'alert' }),
    );
    // Words alone, such as help: the keyboard must reach what it is to scroll.
    if (!body.querySelector('input, select, textarea, button, a')) {
      body.tabIndex = 0;
      body.setAttribute('aria-labelledby', titleId);
    }
    holder.replaceChildren(
      h(
        'section',
        {
          class: 'sheet',
          role: 'dialog',
          'aria-labelledby': titleId,
          'data-view': view.id,
          onkeydown: (event) => {
            if (event.key === 'Escape') void close();
          },
        },
        h(
          'header',
          { class: 'sheet-head' },
          h('h3', { id: titleId }, plain(view.title?.text ?? '')),
          h('p', { class: 'sheet-who' }, reader.whoName()),
        ),
        body,
        h(
          'footer',
          { class: 'sheet-keys' },
          h(
            'button',
            { type: 'button', class: 'key', 'data-key': 'close', onclick: close },
            view.close?.text ?? (view.depth > 1 ? 'Back' : 'Close'),
          ),
          view.submit
            ? h(
                'button',
                { type: 'submit', class: 'key key-primary sheet-send', 'data-key': 'send', form: body.id },
                plain(view.submit.text),
              )
            : null,
        ),
      ),
    );
  };

  /** What the person typed stays when the app draws the same form anew. */
  const drawAgain = (view) => {
    const typed = new Map([...fields].map(([key, entry]) => [key, { raw: entry.read(), node: entry.node }]));
    keepFocus(
      holder,
      () => draw(view),
      () => body,
    );
    for (const [key, entry] of fields) {
      const before = typed.get(key);
      if (before && before.node.tagName === entry.node.tagName) copyTyped(before.node, entry.node);
    }
  };

  return {
    node: holder,
    /** Shows the person's open view, or nothing; true when a view has just appeared. */
    show(view) {
      if (!view) {
        if (!shown) return false;
        const hadFocus = holder.contains(document.activeElement) || document.activeElement === document.body;
        shown = null;
        holder.replaceChildren();
        if (hadFocus) (opener?.isConnected ? opener : reader.restingPlace()).focus();
        opener = null;
        return false;
      }
      const written = JSON.stringify(view);
      if (shown?.written === written) return false;
      const isNew = shown?.id !== view.id;
      if (!shown) opener = document.activeElement;
      const isSame = shown && !isNew;
      shown = { id: view.id, written };
      if (isSame) drawAgain(view);
      else draw(view);
      return isNew;
    },
    focusFirst,
  };
}
