import type { InputBlock, InputBlockElement, Option, PlainTextElement } from '@slack/web-api';
import { decimalText } from '../../chat/forms/questions.ts';
import type { Asks, Choice, Question } from '../../chat/question.ts';
import { blank } from '../../wording/edge/blanks.ts';
import { shorten } from '../../wording/shorten.ts';
import { limits } from './limits.ts';
import { plainText } from './mrkdwn.ts';

/** Plain text as it stands; `:smile:` in a patient's name stays text. */
export function plain(text: string, max: number = limits.sectionText): PlainTextElement {
  return { type: 'plain_text', text: shorten(plainText(text), max), emoji: false };
}

/** One input under its label. Block and action carry the same id, so what was filled in survives an update. */
export function inputBlock({ id, label, hint, optional, asks }: Question): InputBlock {
  return {
    type: 'input',
    block_id: id,
    label: plain(label, limits.label),
    element: element(id, asks),
    ...(hint === undefined ? {} : { hint: plain(hint, limits.hint) }),
    ...(optional ? { optional: true } : {}),
  };
}

function element(id: string, asks: Asks): InputBlockElement {
  switch (asks.as) {
    case 'number':
      return {
        type: 'number_input',
        action_id: id,
        is_decimal_allowed: asks.whole !== true,
        ...(asks.min === undefined ? {} : { min_value: decimalText(asks.min) }),
        ...(asks.max === undefined ? {} : { max_value: decimalText(asks.max) }),
        ...(asks.initial === undefined ? {} : { initial_value: decimalText(asks.initial) }),
      };
    case 'text':
      return {
        type: 'plain_text_input',
        action_id: id,
        max_length: Math.min(asks.maxLength, limits.typedText),
        multiline: asks.multiline ?? false,
        ...(asks.initial === undefined || asks.initial === '' ? {} : { initial_value: asks.initial }),
        ...(asks.focused ? { focus_on_load: true } : {}),
        ...(asks.placeholder === undefined
          ? {}
          : { placeholder: plain(asks.placeholder, limits.placeholder) }),
      };
    case 'choice':
      return choiceElement(id, asks);
    case 'several':
      return severalElement(id, asks);
    case 'person':
      return {
        type: 'users_select',
        action_id: id,
        placeholder: plain(blank.person),
        ...(asks.initial === undefined ? {} : { initial_user: asks.initial }),
      };
    case 'people':
      return {
        type: 'multi_users_select',
        action_id: id,
        placeholder: plain(blank.people),
        max_selected_items: asks.most,
        ...(asks.initial.length === 0 ? {} : { initial_users: [...asks.initial] }),
      };
    case 'instant':
      return {
        type: 'datetimepicker',
        action_id: id,
        // Cut to the second.
        ...(asks.initialMs === undefined ? {} : { initial_date_time: Math.floor(asks.initialMs / 1000) }),
      };
  }
}

type PlainOption = Option & { text: PlainTextElement };

/** An option object; equal for equal choices, as the platform asks of initial options. */
function optionOf({ value, label, description }: Choice): PlainOption {
  return {
    text: plain(label, limits.optionText),
    value,
    ...(description === undefined ? {} : { description: plain(description, limits.optionText) }),
  };
}

/** Longest label that reads well as a radio row on a phone. */
const shortLabel = 40;

/** Radio rows for up to four short ones, a menu otherwise. */
function choiceElement(id: string, asks: Asks & { as: 'choice' }): InputBlockElement {
  const options = asks.choices.map(optionOf);
  const initial = options.find(({ value }) => value === asks.initial);
  const chosen = initial === undefined ? {} : { initial_option: initial };
  const asRadio =
    options.length <= (asks.mostInSight ?? 4) &&
    asks.choices.every(({ label }) => label.length <= shortLabel);
  if (asRadio) return { type: 'radio_buttons', action_id: id, options, ...chosen };
  return {
    type: 'static_select',
    action_id: id,
    placeholder: plain(blank.one),
    ...(options.length <= limits.selectOptions ? { options } : { option_groups: grouped(options) }),
    ...chosen,
  };
}

/** More options than one menu takes, in groups named for the first and last of each. */
function grouped(options: readonly PlainOption[]) {
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

/** Checkboxes for up to ten, a menu otherwise. */
function severalElement(id: string, asks: Asks & { as: 'several' }): InputBlockElement {
  const options = asks.choices.slice(0, limits.selectOptions).map(optionOf);
  const ticked = options.filter(({ value }) => asks.initial?.includes(value ?? '') === true);
  const initial = ticked.length === 0 ? {} : { initial_options: ticked };
  return {
    type: options.length <= limits.choiceOptions ? 'checkboxes' : 'multi_static_select',
    action_id: id,
    options,
    ...initial,
  };
}
