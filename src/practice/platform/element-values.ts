import type { Json } from './message.ts';

/** What a person puts into an element: text, an option's value or an id, several of them, seconds, or nothing. */
export type RawValue = string | number | readonly string[] | null;

const texts = new Set(['plain_text_input', 'number_input', 'email_text_input', 'url_text_input']);
const stateless = new Set(['button', 'overflow', 'image']);

/** True for elements that hold a value in `state.values`. */
export function holdsValue(element: Json): boolean {
  return !stateless.has(element.type as string);
}

function offeredOptions(element: Json): Json[] {
  const groups = (element.option_groups as { options: Json[] }[] | undefined) ?? [];
  return [...((element.options as Json[] | undefined) ?? []), ...groups.flatMap((group) => group.options)];
}

function optionOf(element: Json, value: string): Json {
  const options = offeredOptions(element);
  const found = options.find((option) => option.value === value);
  if (!found)
    throw new Error(
      `${String(element.action_id)} offers no option '${value}'; it offers ${options
        .map((option) => `'${String(option.value)}'`)
        .join(', ')}.`,
    );
  return found;
}

/** The state value an element has when it is first drawn. */
export function initialValue(element: Json): Json {
  const type = element.type as string;
  if (texts.has(type)) return { type, value: element.initial_value ?? null };
  switch (type) {
    case 'static_select':
    case 'radio_buttons':
      return { type, selected_option: element.initial_option ?? null };
    case 'multi_static_select':
    case 'checkboxes':
      return { type, selected_options: element.initial_options ?? [] };
    case 'users_select':
      return { type, selected_user: element.initial_user ?? null };
    case 'multi_users_select':
      return { type, selected_users: element.initial_users ?? [] };
    case 'datepicker':
      return { type, selected_date: element.initial_date ?? null };
    case 'timepicker':
      return {
        type,
        selected_time: element.initial_time ?? null,
        ...(element.timezone === undefined ? {} : { timezone: element.timezone }),
      };
    case 'datetimepicker':
      return { type, selected_date_time: element.initial_date_time ?? null };
    case 'file_input':
      return { type, files: [] };
    default:
      return { type, rich_text_value: element.initial_value ?? null };
  }
}

/**
 * The state value after a person put `raw` into the element. `file_input` takes ids of files already uploaded.
 * @throws when the element does not offer that value: a person could not have chosen it.
 */
export function chosenValue(element: Json, raw: RawValue, fileById: (id: string) => Json): Json {
  const type = element.type as string;
  const list = () => (Array.isArray(raw) ? [...(raw as string[])] : raw === null ? [] : [String(raw)]);
  const one = raw === null || raw === '' ? null : String(raw);
  if (texts.has(type)) return { type, value: one };
  switch (type) {
    case 'static_select':
    case 'radio_buttons':
    case 'overflow':
      return { type, selected_option: one === null ? null : optionOf(element, one) };
    case 'multi_static_select':
    case 'checkboxes':
      return { type, selected_options: list().map((value) => optionOf(element, value)) };
    case 'users_select':
      return { type, selected_user: one };
    case 'multi_users_select':
      return { type, selected_users: list() };
    case 'datepicker':
      return { type, selected_date: one };
    case 'timepicker':
      return { ...initialValue(element), selected_time: one };
    case 'datetimepicker':
      return { type, selected_date_time: one === null ? null : Math.floor(Number(one)) };
    case 'file_input':
      return { type, files: list().map(fileById) };
    case 'rich_text_input':
      return { type, rich_text_value: one === null ? null : plainRichText(one) };
    default:
      throw new Error(`${type} takes no value.`);
  }
}

function plainRichText(text: string): Json {
  return {
    type: 'rich_text',
    elements: [{ type: 'rich_text_section', elements: [{ type: 'text', text }] }],
  };
}

function heldValue(value: Json): unknown {
  const key = Object.keys(value).find((name) => name !== 'type' && name !== 'timezone');
  return key === undefined ? null : value[key];
}

/** Why the chat client itself would not send the form on, in words for the person; null when it would. */
export function inputProblem(element: Json, optional: boolean, value: Json): string | null {
  const held = heldValue(value);
  const count = Array.isArray(held) ? held.length : 0;
  if (held === null || held === '' || (Array.isArray(held) && count === 0))
    return optional ? null : 'This is needed. Fill it in.';
  const type = element.type as string;
  if (texts.has(type)) return textProblem(element, held as string);
  const most = (element.max_selected_items ?? element.max_files) as number | undefined;
  if (most !== undefined && count > most) return `Choose at most ${most}.`;
  return null;
}

function textProblem(element: Json, text: string): string | null {
  const shortest = (element.min_length as number | undefined) ?? 0;
  const longest = (element.max_length as number | undefined) ?? 3000;
  if (text.length < shortest) return `Write at least ${shortest} characters; this is ${text.length}.`;
  if (text.length > longest) return `Write at most ${longest} characters; this is ${text.length}.`;
  if (element.type === 'email_text_input' && !/^\S+@\S+\.\S+$/.test(text))
    return 'Write an e-mail address, such as name@place.example.';
  if (element.type === 'url_text_input' && !/^https?:\/\/\S+$/.test(text))
    return 'Write a web address that begins with https://.';
  return element.type === 'number_input' ? numberProblem(element, text) : null;
}

function numberProblem(element: Json, text: string): string | null {
  if (!/^-?\d+(\.\d+)?$/.test(text)) return `Write a number, such as 12; this is “${text}”.`;
  if (element.is_decimal_allowed === false && text.includes('.')) return 'Write a whole number.';
  const least = element.min_value as string | undefined;
  const most = element.max_value as string | undefined;
  if (least !== undefined && Number(text) < Number(least)) return `Write ${least} or more.`;
  if (most !== undefined && Number(text) > Number(most)) return `Write ${most} or less.`;
  return null;
}
