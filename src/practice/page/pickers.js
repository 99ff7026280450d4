import { freshId, h } from './dom.js';
import { textNodes } from './markup.js';
import { fieldTime, instantOf } from './ward-time.js';

const typed = {
  plain_text_input: 'text',
  number_input: 'text',
  email_text_input: 'email',
  url_text_input: 'url',
};

/** Longest words, in characters, that stand two to a row at phone width. */
const shortWords = 16;

/** Kinds drawn as several rows to tap, which need a group label instead of a field label. */
export const groupKinds = new Set([
  'radio_buttons',
  'checkboxes',
  'multi_static_select',
  'multi_users_select',
]);

const optionsOf = (element) =>
  element.options ?? (element.option_groups ?? []).flatMap((group) => group.options);

function textField(element, held, props) {
  const placeholder = element.placeholder?.text;
  if (element.multiline || element.type === 'rich_text_input') {
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

function listOfPeople(ctx) {
  return ctx.state.people.map(({ id, name }) => ({ value: id, text: { type: 'plain_text', text: name } }));
}

function dropDown(options, chosen, placeholder, props, groups) {
  const asOption = (option) =>
    h('option', { value: option.value, selected: option.value === chosen }, option.text.text);
  const node = h(
    'select',
    props,
    h('option', { value: '', selected: chosen === undefined }, placeholder ?? 'Choose…'),
    groups
      ? groups.map((group) => h('optgroup', { label: group.label.text }, group.options.map(asOption)))
      : options.map(asOption),
  );
  return { node, read: () => (node.value === '' ? null : node.value) };
}

function rows(ctx, kind, options, chosen, props, max) {
  const name = freshId('rows');
  const { 'aria-describedby': describedBy, 'aria-invalid': invalid, 'data-key': key } = props;
  const boxes = options.map((option, index) => {
    const box = h('input', {
      type: kind,
      name,
      value: option.value,
      checked: chosen.includes(option.value),
      'aria-describedby': describedBy,
      'aria-invalid': invalid,
      'data-key': `${key}/${option.value}`,
      id: index === 0 ? props.id : null,
    });
    const words = h('span', { class: 'row-words' }, textNodes(ctx, option.text));
    if (option.description) words.append(h('small', {}, option.description.text));
    return h('label', { class: 'row' }, box, words);
  });
  const isLong = options.some(({ text, description }) => text.text.length > shortWords || description);
  const node = h('div', { class: `rows rows-${kind}${isLong ? ' rows-long' : ''}` }, boxes);
  const read = () => {
    const values = [...node.querySelectorAll('input:checked')].map((box) => box.value);
    return kind === 'radio' ? (values[0] ?? null) : values.slice(0, max ?? values.length);
  };
  return { node, read };
}

function dateField(ctx, element, held, props) {
  const zone = ctx.state.wardZone;
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

async function asBase64(file) {
  const bytes = new Uint8Array(await file.arrayBuffer());
  let text = '';
  for (const byte of bytes) text += String.fromCharCode(byte);
  return btoa(text);
}

function fileField(ctx, element, held, props) {
  let ids = (held?.files ?? []).map((file) => file.id);
  const told = h(
    'p',
    { class: 'file-told', role: 'status' },
    (held?.files ?? []).map((file) => file.name).join(', '),
  );
  const input = h('input', {
    ...props,
    type: 'file',
    multiple: (element.max_files ?? 1) > 1,
    accept: element.filetypes?.map((kind) => `.${kind}`).join(','),
    onchange: async () => {
      told.textContent = 'Uploading…';
      const answers = await Promise.all(
        [...input.files].map(async (file) =>
          ctx.act({ kind: 'upload', name: file.name, bytesBase64: await asBase64(file) }),
        ),
      );
      ids = answers.flatMap((answer) => answer.id ?? []);
      told.textContent = answers.map((answer, at) => answer.problem ?? input.files[at].name).join(', ');
    },
  });
  return { node: h('div', { class: 'file' }, input, told), read: () => ids };
}

/**
 * The control for an input element, holding the state value `held`: its node, and `read()` for what a person has put
 * into it, in the form the practice ward's acts take.
 */
export function picker(ctx, element, held, props) {
  switch (element.type) {
    case 'static_select':
      return dropDown(
        optionsOf(element),
        held?.selected_option?.value,
        element.placeholder?.text,
        props,
        element.option_groups,
      );
    case 'users_select':
      return dropDown(listOfPeople(ctx), held?.selected_user ?? undefined, element.placeholder?.text, props);
    case 'overflow':
      return dropDown(optionsOf(element), undefined, 'More…', props);
    case 'radio_buttons':
      return rows(ctx, 'radio', optionsOf(element), [held?.selected_option?.value], props);
    case 'checkboxes':
    case 'multi_static_select':
      return rows(
        ctx,
        'checkbox',
        optionsOf(element),
        (held?.selected_options ?? []).map((option) => option.value),
        props,
        element.max_selected_items,
      );
    case 'multi_users_select':
      return rows(
        ctx,
        'checkbox',
        listOfPeople(ctx),
        held?.selected_users ?? [],
        props,
        element.max_selected_items,
      );
    case 'datepicker':
    case 'timepicker':
    case 'datetimepicker':
      return dateField(ctx, element, held, props);
    case 'file_input':
      return fileField(ctx, element, held, props);
    default:
      return textField(element, held, props);
  }
}
