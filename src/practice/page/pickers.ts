import type { HeldValue } from '../page-messages.ts';
import type { UsableElement } from '../platform/element-limits.ts';
import type { RawValue } from '../platform/element-values.ts';
import type { OptionShown } from '../platform/text-limits.ts';
import { freshId, h, type Props } from './dom.ts';
import type { Drawing } from './drawing.ts';
import { textNodes } from './markup.ts';
import { fieldTime, instantOf } from './ward-time.ts';

/** An element that a person puts something into. */
export type Pickable = Exclude<UsableElement, { type: 'button' }>;
type OfType<Type extends Pickable['type']> = Extract<Pickable, { type: Type }>;

/** A control, and what a person has put into it, in the form the practice ward's acts take. */
export interface Picker {
  node: HTMLElement;
  read: () => RawValue;
}

const typed = {
  plain_text_input: 'text',
  number_input: 'text',
  email_text_input: 'email',
  url_text_input: 'url',
};

/** Longest words, in characters, that stand two to a row at phone width. */
const shortWords = 16;

/** Kinds drawn as several rows to tap, which need a group label instead of a field label. */
export const groupKinds: ReadonlySet<Pickable['type']> = new Set([
  'radio_buttons',
  'checkboxes',
  'multi_static_select',
  'multi_users_select',
]);

function optionsOf({ options, option_groups: groups }: OfType<'static_select' | 'multi_static_select'>) {
  return options ?? (groups ?? []).flatMap((group) => group.options);
}

function textField(
  element: OfType<keyof typeof typed | 'rich_text_input'>,
  held: HeldValue | undefined,
  props: Props,
): Picker {
  const placeholder = element.placeholder?.text;
  if (element.type === 'rich_text_input' || (element.type === 'plain_text_input' && element.multiline)) {
    const node = h('textarea', { ...props, rows: 3, placeholder });
    node.value = held?.value ?? '';
    return { node, read: () => (node.value === '' ? null : node.value) };
  }
  const isNumber = element.type === 'number_input';
  const node = h('input', {
    ...props,
    type: typed[element.type],
    placeholder,
    autocomplete: 'off',
    autocapitalize: isNumber ? null : 'sentences',
    inputmode: isNumber ? (element.is_decimal_allowed ? 'decimal' : 'numeric') : null,
    value: held?.value ?? '',
  });
  const read = () => {
    // A decimal comma is what half the world's number pads offer.
    const text = isNumber ? node.value.trim().replace(',', '.') : node.value;
    return text === '' ? null : text;
  };
  return { node, read };
}

function listOfPeople({ state }: Drawing): OptionShown[] {
  return state.people.map(({ id, name }) => ({ value: id, text: { type: 'plain_text', text: name } }));
}

function dropDown(
  options: readonly OptionShown[],
  chosen: string | null | undefined,
  placeholder: string | undefined,
  props: Props,
  groups?: OfType<'static_select'>['option_groups'],
): Picker {
  const asOption = ({ value, text }: OptionShown) =>
    h('option', { value, selected: value === chosen }, text.text);
  const node = h(
    'select',
    props,
    h('option', { value: '', selected: (chosen ?? null) === null }, placeholder ?? 'Choose…'),
    groups
      ? groups.map((group) => h('optgroup', { label: group.label.text }, group.options.map(asOption)))
      : options.map(asOption),
  );
  return { node, read: () => (node.value === '' ? null : node.value) };
}

function rows(
  drawing: Drawing,
  kind: 'radio' | 'checkbox',
  options: readonly OptionShown[],
  chosen: readonly (string | undefined)[],
  props: Props,
  max?: number,
): Picker {
  const name = freshId('rows');
  const boxes = options.map(({ value, text, description }, index) => {
    const box = h('input', {
      type: kind,
      name,
      value,
      checked: chosen.includes(value),
      'aria-describedby': props['aria-describedby'],
      'aria-invalid': props['aria-invalid'],
      'data-key': `${props['data-key']}/${value}`,
      id: index === 0 ? props.id : null,
    });
    const words = h('span', { class: 'row-words' }, textNodes(drawing, text));
    if (description) words.append(h('small', {}, description.text));
    return { label: h('label', { class: 'row' }, box, words), box };
  });
  const isLong = options.some(({ text, description }) => text.text.length > shortWords || description);
  const node = h(
    'div',
    { class: `rows rows-${kind}${isLong ? ' rows-long' : ''}` },
    boxes.map(({ label }) => label),
  );
  const read = () => {
    const values = boxes.filter(({ box }) => box.checked).map(({ box }) => box.value);
    return kind === 'radio' ? (values[0] ?? null) : values.slice(0, max ?? values.length);
  };
  return { node, read };
}

function dateField(
  { state }: Drawing,
  element: OfType<'datepicker' | 'timepicker' | 'datetimepicker'>,
  held: HeldValue | undefined,
  props: Props,
): Picker {
  const zone = state.wardZone;
  if (element.type === 'datetimepicker') {
    const seconds = held?.selected_date_time;
    const value = seconds ? fieldTime(zone, seconds * 1000) : '';
    const node = h('input', { ...props, type: 'datetime-local', value });
    const read = () => {
      const atMs = node.value === '' ? null : instantOf(zone, node.value.slice(0, 16));
      return atMs === null ? null : Math.floor(atMs / 1000);
    };
    return { node, read };
  }
  const isDate = element.type === 'datepicker';
  const value = (isDate ? held?.selected_date : held?.selected_time) ?? '';
  const node = h('input', { ...props, type: isDate ? 'date' : 'time', value });
  return { node, read: () => (node.value === '' ? null : node.value) };
}

async function asBase64(file: File): Promise<string> {
  const bytes = new Uint8Array(await file.arrayBuffer());
  let text = '';
  for (const byte of bytes) text += String.fromCharCode(byte);
  return btoa(text);
}

function fileField(
  { act }: Drawing,
  element: OfType<'file_input'>,
  held: HeldValue | undefined,
  props: Props,
): Picker {
  const before = held?.files ?? [];
  let ids = before.map(({ id }) => id);
  const told = h('p', { class: 'file-told', role: 'status' }, before.map(({ name }) => name).join(', '));
  const input = h('input', {
    ...props,
    type: 'file',
    multiple: (element.max_files ?? 1) > 1,
    accept: element.filetypes?.map((kind) => `.${kind}`).join(','),
    onchange: async () => {
      told.textContent = 'Uploading…';
      const uploaded = await Promise.all(
        [...(input.files ?? [])].map(async (file) => {
          const { id, problem } = await act({
            kind: 'upload',
            name: file.name,
            bytesBase64: await asBase64(file),
          });
          return { id, says: problem ?? file.name };
        }),
      );
      ids = uploaded.flatMap(({ id }) => id ?? []);
      told.textContent = uploaded.map(({ says }) => says).join(', ');
    },
  });
  return { node: h('div', { class: 'file' }, input, told), read: () => ids };
}

/** The control for an input element, holding the state value `held`. */
export function picker(
  drawing: Drawing,
  element: Pickable,
  held: HeldValue | undefined,
  props: Props,
): Picker {
  const chosen = held?.selected_option?.value;
  const several = (held?.selected_options ?? []).map(({ value }) => value);
  switch (element.type) {
    case 'static_select':
      return dropDown(optionsOf(element), chosen, element.placeholder?.text, props, element.option_groups);
    case 'users_select':
      return dropDown(listOfPeople(drawing), held?.selected_user, element.placeholder?.text, props);
    case 'overflow':
      return dropDown(element.options, undefined, 'More…', props);
    case 'radio_buttons':
      return rows(drawing, 'radio', element.options, [chosen], props);
    case 'checkboxes':
      return rows(drawing, 'checkbox', element.options, several, props);
    case 'multi_static_select':
      return rows(drawing, 'checkbox', optionsOf(element), several, props, element.max_selected_items);
    case 'multi_users_select': {
      const { max_selected_items: most } = element;
      return rows(drawing, 'checkbox', listOfPeople(drawing), held?.selected_users ?? [], props, most);
    }
    case 'datepicker':
    case 'timepicker':
    case 'datetimepicker':
      return dateField(drawing, element, held, props);
    case 'file_input':
      return fileField(drawing, element, held, props);
    case 'plain_text_input':
    case 'number_input':
    case 'email_text_input':
    case 'url_text_input':
    case 'rich_text_input':
      return textField(element, held, props);
  }
}
