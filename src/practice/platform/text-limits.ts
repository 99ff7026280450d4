import { z } from 'zod';

/** A string of `min` to `max` characters, with the chat platform's own kind of sentence when it is not. */
export const boundedText = (min: number, max: number) =>
  z
    .string({ error: 'must be a string' })
    .min(min, { error: `must be more than ${min - 1} characters` })
    .max(max, { error: `must be less than ${max + 1} characters` });

/** A `plain_text` object of 1 to `max` characters. */
export const plainText = (max: number) =>
  z.strictObject({
    type: z.literal('plain_text'),
    text: boundedText(1, max),
    emoji: z.boolean().optional(),
  });

export type PlainText = z.infer<ReturnType<typeof plainText>>;

const mrkdwn = (max: number) =>
  z.strictObject({
    type: z.literal('mrkdwn'),
    text: boundedText(1, max),
    verbatim: z.boolean().optional(),
  });

/** A `plain_text` or `mrkdwn` object of 1 to `max` characters. */
export const textObject = (max: number) => z.discriminatedUnion('type', [plainText(max), mrkdwn(max)]);

export type TextObject = z.infer<ReturnType<typeof textObject>>;

/** block_id, action_id, callback_id, external_id: at most 255 characters. */
export const identifier = boundedText(1, 255);

/** A web address of at most 3000 characters. */
export const webAddress = boundedText(1, 3000).regex(/^https?:\/\//, { error: 'must be a http(s) url' });

/** The question asked before an element acts: title 100, text 300, buttons 30 characters. */
export const confirmDialog = z.strictObject({
  title: plainText(100),
  text: textObject(300),
  confirm: plainText(30),
  deny: plainText(30),
  style: z.enum(['primary', 'danger']).optional(),
});

export type ConfirmDialog = z.infer<typeof confirmDialog>;

const optionWith = <Text extends z.ZodType>(text: Text) =>
  z.strictObject({
    text,
    value: boundedText(1, 75),
    description: plainText(75).optional(),
    url: webAddress.optional(),
  });

/** An option of a menu: plain text. Text, value and description take at most 75 characters. */
export const menuOption = optionWith(plainText(75));

/** An option of radio buttons or checkboxes, which may be marked up. */
export const choiceOption = optionWith(textObject(75));

/** An option of either kind. */
export type OptionShown = z.infer<typeof choiceOption>;

/** Up to 100 options under a label of 75 characters. */
export const optionGroup = z.strictObject({
  label: plainText(75),
  options: z.array(menuOption).min(1).max(100),
});

/** An image given by address or by a file already uploaded, with 1 to 2000 characters of alternative text. */
export const imageSource = {
  alt_text: boundedText(1, 2000),
  image_url: webAddress.optional(),
  slack_file: z
    .union([z.strictObject({ id: z.string() }), z.strictObject({ url: z.string() })], {
      error: 'needs an id or a url, not both',
    })
    .optional(),
};

/** True when exactly one of the two image sources is given. */
export const hasOneImageSource = (image: { image_url?: unknown; slack_file?: unknown }) =>
  (image.image_url === undefined) !== (image.slack_file === undefined);
