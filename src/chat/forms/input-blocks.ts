import type { InputBlock, InputBlockElement, Option, PlainTextElement } from '@slack/web-api';
import { limits, shorten } from '../limits.ts';

/** Plain text as it stands; `:smile:` in a patient's name stays text. */
export function plain(text: string, max: number = limits.sectionText): PlainTextElement {
  return { type: 'plain_text', text: shorten(text, max), emoji: false };
}

/** An option of a menu, radio or checkbox. */
export interface Choice {
  value: string;
  label: string;
  /** What it means, in small letters below it. */
  description?: string | undefined;
}

interface Asking {
  id: string;
  label: string;
  hint?: string | undefined;
  optional?: boolean;
}

/** One input under its label. Block and action carry the same id, so what was filled in survives an update. */
function input({ id, label, hint, optional = false }: Asking, element: InputBlockElement): InputBlock {
  return {
    type: 'input',
    block_id: id,
    label: plain(label, limits.label),
    element,
    ...(hint === undefined ? {} : { hint: plain(hint, limits.hint) }),
    ...(optional ? { optional: true } : {}),
  };
}

/** An option object; equal for equal choices, as the platform asks of initial options. */
export function optionOf({ value, label, description }: Choice): Option & { text: PlainTextElement } {
  return {
    text: plain(label, limits.optionText),
    value,
    ...(description === undefined ? {} : { description: plain(description, limits.optionText) }),
  };
}

/**
 * A number in the unit its label names. With `min` and `max` the phone itself refuses, in its own words; without them
 * our sentence does, which names the value and says what to do.
 */
export function numberInput(
  asking: Asking & { min?: number; max?: number; whole?: boolean; initial?: number | undefined },
): InputBlock {
  return input(asking, {
    type: 'number_input',
    action_id: asking.id,
    is_decimal_allowed: asking.whole !== true,
    ...(asking.min === undefined ? {} : { min_value: decimalText(asking.min) }),
    ...(asking.max === undefined ? {} : { max_value: decimalText(asking.max) }),
    ...(asking.initial === undefined ? {} : { initial_value: decimalText(asking.initial) }),
  });
}

/** A number as the platform takes it: no exponent, at most three decimals. */
export function decimalText(value: number): string {
  return String(Number(value.toFixed(3)));
}

/** A line of text, or several where more than 120 characters are kept. */
export function textInput(
  asking: Asking & {
    maxLength: number;
    initial?: string | undefined;
    placeholder?: string;
    multiline?: boolean;
    /** The cursor stands in it when the form opens: one tap less. */
    focused?: boolean;
  },
): InputBlock {
  return input(asking, {
    type: 'plain_text_input',
    action_id: asking.id,
    max_length: Math.min(asking.maxLength, limits.typedText),
    multiline: asking.multiline ?? asking.maxLength > 120,
    ...(asking.initial === undefined || asking.initial === '' ? {} : { initial_value: asking.initial }),
    ...(asking.focused ? { focus_on_load: true } : {}),
    ...(asking.placeholder === undefined
      ? {}
      : { placeholder: plain(asking.placeholder, limits.placeholder) }),
  });
}

/** Longest label that reads well as a radio row on a phone. */
const shortLabel = 40;

/** One of several: radio rows for up to four short ones, a menu otherwise. */
export function choiceInput(
  asking: Asking & { choices: readonly Choice[]; initial?: string | undefined; mostRadios?: number },
): InputBlock {
  const options = asking.choices.map(optionOf);
  const initial = options.find(({ value }) => value === asking.initial);
  const chosen = initial === undefined ? {} : { initial_option: initial };
  const asRadio =
    options.length <= (asking.mostRadios ?? 4) &&
    asking.choices.every(({ label }) => label.length <= shortLabel);
  if (asRadio) return input(asking, { type: 'radio_buttons', action_id: asking.id, options, ...chosen });
  return input(asking, {
    type: 'static_select',
    action_id: asking.id,
    placeholder: plain('Choose one'),
    ...(options.length <= limits.selectOptions ? { options } : { option_groups: grouped(options) }),
    ...chosen,
  });
}

/** More options than one menu takes, in groups named for the first and last of each. */
function grouped(options: readonly (Option & { text: PlainTextElement })[]) {
  const groups = [];
  for (
    let from = 0;
    from < options.length && groups.length < limits.optionGroups;
    from += limits.selectOptions
  ) {
    const some = options.slice(from, from + limits.selectOptions);
    const first = shorten(some[0]?.text.text ?? '', 30);
    const last = shorten(some.at(-1)?.text.text ?? '', 30);
    groups.push({ label: plain(`${first} to ${last}`, limits.groupLabel), options: some });
  }
  return groups;
}

/** Any number of several: checkboxes for up to ten, a menu otherwise. */
export function severalInput(
  asking: Asking & { choices: readonly Choice[]; initial?: readonly string[] | undefined },
): InputBlock {
  const options = asking.choices.slice(0, limits.selectOptions).map(optionOf);
  const ticked = options.filter(({ value }) => asking.initial?.includes(value ?? '') === true);
  const initial = ticked.length === 0 ? {} : { initial_options: ticked };
  if (options.length <= limits.choiceOptions) {
    return input(asking, { type: 'checkboxes', action_id: asking.id, options, ...initial });
  }
  return input(asking, { type: 'multi_static_select', action_id: asking.id, options, ...initial });
}

/** One person of the workspace. */
export function personInput(asking: Asking & { initial?: string | undefined }): InputBlock {
  return input(asking, {
    type: 'users_select',
    action_id: asking.id,
    placeholder: plain('Choose a person'),
    ...(asking.initial === undefined ? {} : { initial_user: asking.initial }),
  });
}

/** Several people of the workspace. */
export function peopleInput(asking: Asking & { initial: readonly string[]; most: number }): InputBlock {
  return input(asking, {
    type: 'multi_users_select',
    action_id: asking.id,
    placeholder: plain('Choose people'),
    max_selected_items: asking.most,
    ...(asking.initial.length === 0 ? {} : { initial_users: [...asking.initial] }),
  });
}

/** A day and a clock time; `initialMs` is cut to the second. */
export function instantInput(asking: Asking & { initialMs?: number | undefined }): InputBlock {
  return input(asking, {
    type: 'datetimepicker',
    action_id: asking.id,
    ...(asking.initialMs === undefined ? {} : { initial_date_time: Math.floor(asking.initialMs / 1000) }),
  });
}
