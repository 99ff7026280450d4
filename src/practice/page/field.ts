import type { PageView } from '../page-messages.ts';
import type { Block } from '../platform/block-limits.ts';
import type { RawValue } from '../platform/element-values.ts';
import { freshId, h } from './dom.ts';
import { type Drawing, placeOf } from './drawing.ts';
import { plain } from './markup.ts';
import { groupKinds, picker } from './pickers.ts';

/** One input of a form, drawn. */
export interface Field {
  /** `block/action`, as acts name it. */
  name: string;
  /** With its label, hint and error. */
  node: HTMLElement;
  control: HTMLElement;
  read: () => RawValue;
}

/** Draws one input block with its label, hint and error. */
export function field(drawing: Drawing, view: PageView, block: Extract<Block, { type: 'input' }>): Field {
  const { element, label, hint, optional } = block;
  const place = placeOf(block, element);
  const name = `${place.blockId}/${place.actionId}`;
  const id = freshId('field');
  const error = view.errors[place.blockId];
  const hintId = hint ? `${id}-hint` : null;
  const errorId = error ? `${id}-error` : null;
  const isGroup = groupKinds.has(element.type);
  const { node: control, read } = picker(drawing, element, view.values[place.blockId]?.[place.actionId], {
    id,
    'data-key': name,
    'aria-describedby': [errorId, hintId].filter(Boolean).join(' ') || null,
    'aria-invalid': error ? 'true' : null,
    'aria-required': optional || isGroup ? null : 'true',
    'data-focus': 'focus_on_load' in element && element.focus_on_load ? 'true' : null,
  });
  if (block.dispatch_action)
    control.addEventListener('change', () => void drawing.press({ ...place, selected: read() }));
  const words = [plain(label.text), optional ? h('span', { class: 'field-optional' }, ' (optional)') : null];
  const rest = [
    hint ? h('p', { class: 'field-hint', id: hintId }, plain(hint.text)) : null,
    control,
    error
      ? h(
          'p',
          { class: 'field-error', id: errorId },
          h('span', { 'aria-hidden': 'true' }, '▲ '),
          plain(error),
        )
      : null,
  ];
  const className = `field${error ? ' field-wrong' : ''}`;
  const node = isGroup
    ? h('fieldset', { class: className }, h('legend', {}, words), rest)
    : h('div', { class: className }, h('label', { for: id }, words), rest);
  return { name, node, control, read };
}

const isTextual = (node: Element): node is HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement =>
  node instanceof HTMLTextAreaElement ||
  node instanceof HTMLSelectElement ||
  (node instanceof HTMLInputElement && node.type !== 'file');

/** Copies what a person has put into a control to the one that takes its place. */
export function copyTyped(from: Element, to: Element): void {
  if (isTextual(from) && isTextual(to)) to.value = from.value;
  for (const box of to.querySelectorAll('input')) {
    if (box.type !== 'radio' && box.type !== 'checkbox') continue;
    const same = from.querySelector(`input[value="${CSS.escape(box.value)}"]`);
    if (same instanceof HTMLInputElement) box.checked = same.checked;
  }
}
