import { z } from 'zod';

const style = z
  .strictObject({
    bold: z.boolean().optional(),
    code: z.boolean().optional(),
    italic: z.boolean().optional(),
    strike: z.boolean().optional(),
    underline: z.boolean().optional(),
  })
  .optional();

const text = z.strictObject({ type: z.literal('text'), text: z.string().min(1), style });
const link = z.strictObject({
  type: z.literal('link'),
  url: z.string().min(1),
  text: z.string().optional(),
  unsafe: z.boolean().optional(),
  style,
});
const inline = z.discriminatedUnion('type', [
  text,
  link,
  z.strictObject({
    type: z.literal('broadcast'),
    range: z.enum(['here', 'channel', 'everyone']),
    style,
  }),
  z.strictObject({ type: z.literal('color'), value: z.string(), style }),
  z.strictObject({ type: z.literal('channel'), channel_id: z.string(), style }),
  z.strictObject({
    type: z.literal('date'),
    timestamp: z.number().int(),
    format: z.string().min(1),
    url: z.string().optional(),
    fallback: z.string().optional(),
    style,
  }),
  z.strictObject({
    type: z.literal('emoji'),
    name: z.string(),
    unicode: z.string().optional(),
    url: z.string().optional(),
    style,
  }),
  z.strictObject({ type: z.literal('user'), user_id: z.string(), style }),
  z.strictObject({ type: z.literal('usergroup'), usergroup_id: z.string(), style }),
]);

/** A run of text, a mention, a link and the like. */
export type InlinePart = z.infer<typeof inline>;

const border = z.union([z.literal(0), z.literal(1)]).optional();
const section = z.strictObject({ type: z.literal('rich_text_section'), elements: z.array(inline) });

/** The parts of a rich_text block: sections, lists, quotes and preformatted text. */
export const richTextPart = z.discriminatedUnion('type', [
  section,
  z.strictObject({
    type: z.literal('rich_text_list'),
    style: z.enum(['bullet', 'ordered']),
    elements: z.array(section).min(1),
    indent: z.number().int().min(0).max(8).optional(),
    offset: z.number().int().min(0).optional(),
    border,
  }),
  z.strictObject({ type: z.literal('rich_text_quote'), elements: z.array(inline), border }),
  z.strictObject({
    type: z.literal('rich_text_preformatted'),
    elements: z.array(z.discriminatedUnion('type', [text, link])),
    border,
  }),
]);

/** A rich_text value as it stands in a table cell or a rich text field. */
export const richText = z.strictObject({
  type: z.literal('rich_text'),
  block_id: z.string().max(255).optional(),
  elements: z.array(richTextPart),
});

export type RichText = z.infer<typeof richText>;
