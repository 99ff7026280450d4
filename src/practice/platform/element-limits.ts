import { z } from 'zod';
import { richText } from './rich-text-limits.ts';
import {
  boundedText,
  choiceOption,
  confirmDialog,
  hasOneImageSource,
  identifier,
  imageSource,
  menuOption,
  optionGroup,
  plainText,
  webAddress,
} from './text-limits.ts';

const actionable = { action_id: identifier.optional() };
const confirmable = { confirm: confirmDialog.optional() };
const focusable = { focus_on_load: z.boolean().optional() };
const placeholdable = { placeholder: plainText(150).optional() };
const dispatchable = {
  dispatch_action_config: z
    .strictObject({
      trigger_actions_on: z.array(z.enum(['on_enter_pressed', 'on_character_entered'])).min(1),
    })
    .optional(),
};
const everyOption = { ...actionable, ...confirmable, ...focusable };
const date = z.string().regex(/^\d{4}-\d{2}-\d{2}$/, { error: 'must be YYYY-MM-DD' });
const time = z.string().regex(/^([01]\d|2[0-3]):[0-5]\d$/, { error: 'must be HH:mm' });
const numeral = z.string().regex(/^-?\d+(\.\d+)?$/, { error: 'must be a number written as a string' });

const same = (left: unknown, right: unknown) => JSON.stringify(left) === JSON.stringify(right);

interface Choosing {
  options?: unknown[] | undefined;
  option_groups?: { options: unknown[] }[] | undefined;
  initial_option?: unknown;
  initial_options?: unknown[] | undefined;
}

const listedOnce = (menu: Choosing) => (menu.options === undefined) !== (menu.option_groups === undefined);
const startsAmongOptions = (menu: Choosing) => {
  const offered = [...(menu.options ?? []), ...(menu.option_groups ?? []).flatMap((group) => group.options)];
  const chosen = [
    ...(menu.initial_option === undefined ? [] : [menu.initial_option]),
    ...(menu.initial_options ?? []),
  ];
  return chosen.every((wanted) => offered.some((option) => same(option, wanted)));
};
const listedOnceSays = { error: 'needs either options or option_groups' };
const startsAmongSays = { error: 'initial option is not one of the options' };

const button = z.strictObject({
  type: z.literal('button'),
  text: plainText(75),
  value: boundedText(1, 2000).optional(),
  url: webAddress.optional(),
  style: z.enum(['primary', 'danger']).optional(),
  accessibility_label: boundedText(1, 75).optional(),
  ...actionable,
  ...confirmable,
});
const staticSelect = z
  .strictObject({
    type: z.literal('static_select'),
    options: z.array(menuOption).min(1).max(100).optional(),
    option_groups: z.array(optionGroup).min(1).max(100).optional(),
    initial_option: menuOption.optional(),
    ...everyOption,
    ...placeholdable,
  })
  .refine(listedOnce, listedOnceSays)
  .refine(startsAmongOptions, startsAmongSays);
const multiStaticSelect = z
  .strictObject({
    type: z.literal('multi_static_select'),
    options: z.array(menuOption).min(1).max(100).optional(),
    option_groups: z.array(optionGroup).min(1).max(100).optional(),
    initial_options: z.array(menuOption).min(1).max(100).optional(),
    max_selected_items: z.number().int().min(1).optional(),
    ...everyOption,
    ...placeholdable,
  })
  .refine(listedOnce, listedOnceSays)
  .refine(startsAmongOptions, startsAmongSays);
const usersSelect = z.strictObject({
  type: z.literal('users_select'),
  initial_user: z.string().optional(),
  ...everyOption,
  ...placeholdable,
});
const multiUsersSelect = z.strictObject({
  type: z.literal('multi_users_select'),
  initial_users: z.array(z.string()).optional(),
  max_selected_items: z.number().int().min(1).optional(),
  ...everyOption,
  ...placeholdable,
});
const radioButtons = z
  .strictObject({
    type: z.literal('radio_buttons'),
    options: z.array(choiceOption).min(1).max(10),
    initial_option: choiceOption.optional(),
    ...everyOption,
  })
  .refine(startsAmongOptions, startsAmongSays);
const checkboxes = z
  .strictObject({
    type: z.literal('checkboxes'),
    options: z.array(choiceOption).min(1).max(10),
    initial_options: z.array(choiceOption).min(1).max(10).optional(),
    ...everyOption,
  })
  .refine(startsAmongOptions, startsAmongSays);
const datepicker = z.strictObject({
  type: z.literal('datepicker'),
  initial_date: date.optional(),
  ...everyOption,
  ...placeholdable,
});
const timepicker = z.strictObject({
  type: z.literal('timepicker'),
  initial_time: time.optional(),
  timezone: z.string().optional(),
  ...everyOption,
  ...placeholdable,
});
const datetimepicker = z.strictObject({
  type: z.literal('datetimepicker'),
  initial_date_time: z
    .number()
    .int()
    .min(1_000_000_000, { error: 'must be 10 digits of seconds' })
    .max(9_999_999_999, { error: 'must be 10 digits of seconds' })
    .optional(),
  ...everyOption,
});
const overflow = z.strictObject({
  type: z.literal('overflow'),
  options: z.array(menuOption).min(1).max(5),
  ...actionable,
  ...confirmable,
});
const typedText = { initial_value: z.string().optional(), ...actionable, ...focusable, ...placeholdable };
const plainTextInput = z
  .strictObject({
    type: z.literal('plain_text_input'),
    multiline: z.boolean().optional(),
    min_length: z.number().int().min(0).max(3000).optional(),
    max_length: z.number().int().min(1).max(3000).optional(),
    ...typedText,
    ...dispatchable,
  })
  .refine((input) => (input.min_length ?? 0) <= (input.max_length ?? 3000), {
    error: 'min_length is above max_length',
  });
const numberInput = z.strictObject({
  type: z.literal('number_input'),
  is_decimal_allowed: z.boolean({ error: 'is_decimal_allowed must be given' }),
  min_value: numeral.optional(),
  max_value: numeral.optional(),
  ...typedText,
  initial_value: numeral.optional(),
  ...dispatchable,
});
const emailInput = z.strictObject({ type: z.literal('email_text_input'), ...typedText, ...dispatchable });
const urlInput = z.strictObject({ type: z.literal('url_text_input'), ...typedText, ...dispatchable });
const fileInput = z.strictObject({
  type: z.literal('file_input'),
  filetypes: z.array(z.string()).min(1).optional(),
  max_files: z.number().int().min(1).max(10).optional(),
  ...actionable,
});
const richTextInput = z.strictObject({
  type: z.literal('rich_text_input'),
  min_lines: z.number().int().min(1).optional(),
  max_lines: z.number().int().min(1).optional(),
  ...typedText,
  initial_value: richText.optional(),
  ...dispatchable,
});

/** A small picture inside a section or a context block. */
export const imageElement = z
  .strictObject({ type: z.literal('image'), ...imageSource })
  .refine(hasOneImageSource, { error: 'needs either image_url or slack_file' });

const chooser = [
  button,
  staticSelect,
  multiStaticSelect,
  usersSelect,
  multiUsersSelect,
  radioButtons,
  checkboxes,
  datepicker,
  timepicker,
  overflow,
] as const;

/** What may stand in an actions block. */
export const actionsElement = z.discriminatedUnion('type', [...chooser, datetimepicker, richTextInput]);

/** What may stand beside a section's text. */
export const accessoryElement = z.discriminatedUnion('type', [...chooser, imageElement]);

/** What may stand in an input block. */
export const inputElement = z.discriminatedUnion('type', [
  plainTextInput,
  numberInput,
  emailInput,
  urlInput,
  richTextInput,
  fileInput,
  staticSelect,
  multiStaticSelect,
  usersSelect,
  multiUsersSelect,
  radioButtons,
  checkboxes,
  datepicker,
  timepicker,
  datetimepicker,
]);

/** Anything a person can use: in actions, beside a section's text, or in an input. */
export type UsableElement = Exclude<
  z.infer<typeof actionsElement> | z.infer<typeof accessoryElement> | z.infer<typeof inputElement>,
  { type: 'image' }
>;
/** A picture inside a section or a context block. */
export type ImageElement = z.infer<typeof imageElement>;
