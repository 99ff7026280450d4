import { z } from 'zod';
import { accessoryElement, actionsElement, imageElement, inputElement } from './element-limits.ts';
import type { Json } from './message.ts';
import { richText, richTextPart } from './rich-text-limits.ts';
import {
  boundedText,
  hasOneImageSource,
  identifier,
  imageSource,
  plainText,
  textObject,
} from './text-limits.ts';

const named = { block_id: identifier.optional() };

const section = z
  .strictObject({
    type: z.literal('section'),
    text: textObject(3000).optional(),
    fields: z.array(textObject(2000)).min(1).max(10).optional(),
    accessory: accessoryElement.optional(),
    expand: z.boolean().optional(),
    ...named,
  })
  .refine((block) => block.text !== undefined || block.fields !== undefined, {
    error: 'needs text or fields',
  });

const cell = z.discriminatedUnion('type', [
  z.strictObject({ type: z.literal('raw_text'), text: z.string().min(1) }),
  z.strictObject({ type: z.literal('raw_number'), value: z.number(), text: z.string().min(1) }),
  richText,
]);

/** One layout block of any kind the practice ward draws; unknown types and unknown keys are refused. */
export const blockSchema = z.discriminatedUnion('type', [
  section,
  z.strictObject({ type: z.literal('header'), text: plainText(150), ...named }),
  z.strictObject({ type: z.literal('divider'), ...named }),
  z.strictObject({
    type: z.literal('context'),
    elements: z
      .array(z.union([textObject(3000), imageElement]))
      .min(1)
      .max(10),
    ...named,
  }),
  z.strictObject({ type: z.literal('actions'), elements: z.array(actionsElement).min(1).max(25), ...named }),
  z
    .strictObject({
      type: z.literal('image'),
      ...imageSource,
      title: plainText(2000).optional(),
      ...named,
    })
    .refine(hasOneImageSource, { error: 'needs either image_url or slack_file' }),
  z.strictObject({
    type: z.literal('input'),
    label: plainText(2000),
    element: inputElement,
    hint: plainText(2000).optional(),
    optional: z.boolean().optional(),
    dispatch_action: z.boolean().optional(),
    ...named,
  }),
  z.strictObject({ type: z.literal('rich_text'), elements: z.array(richTextPart), ...named }),
  z.strictObject({
    type: z.literal('table'),
    rows: z.array(z.array(cell).min(1).max(20)).min(1).max(100),
    column_settings: z
      .array(
        z
          .strictObject({
            align: z.enum(['left', 'center', 'right']).optional(),
            is_wrapped: z.boolean().optional(),
          })
          .nullable(),
      )
      .max(20)
      .optional(),
    ...named,
  }),
  z.strictObject({ type: z.literal('markdown'), text: boundedText(1, 12_000), ...named }),
]);

/** A layout block that `blockSchema` lets through. */
export type Block = z.infer<typeof blockSchema>;

/** Where blocks are shown; each place has its own ceiling. */
export type Surface = 'message' | 'modal' | 'home';

/** Blocks allowed on each surface (Slack Block Kit reference). */
export const mostBlocks: Record<Surface, number> = { message: 50, modal: 100, home: 100 };

/**
 * The most characters of JSON all blocks of one message may take together. Undocumented; reported in
 * github slackapi/bolt-js 2509.
 */
export const mostBlockJsonCharacters = 13_200;

const messageOnly = new Set(['table', 'markdown']);

/** The elements of one block that a person can use, wherever they stand in it. */
export function interactiveElements(block: Json): Json[] {
  const elements = block.type === 'actions' ? (block.elements as Json[]) : [];
  const accessory = block.type === 'section' && block.accessory ? [block.accessory as Json] : [];
  const input = block.type === 'input' ? [block.element as Json] : [];
  return [...elements, ...accessory, ...input].filter((element) => element.type !== 'image');
}

/**
 * Every reason the chat platform would refuse these blocks on that surface, each with a JSON pointer; empty when
 * they are fine. Source: Slack Block Kit reference.
 */
export function blockProblems(surface: Surface, blocks: unknown): string[] {
  const say = (message: string, path: PropertyKey[]) =>
    `[ERROR] ${message} [json-pointer:/${['blocks', ...path].map(String).join('/')}]`;
  if (!Array.isArray(blocks)) return [say('must be an array', [])];
  const list = blocks as Json[];
  const problems: string[] = [];
  if (list.length > mostBlocks[surface])
    problems.push(say(`no more than ${mostBlocks[surface]} items allowed`, []));
  list.forEach((block, index) => {
    const parsed = blockSchema.safeParse(block);
    if (parsed.success) return;
    for (const issue of parsed.error.issues) problems.push(say(issue.message, [index, ...issue.path]));
  });
  if (problems.length > 0) return problems;

  const blockIds = new Set<string>();
  let focused = 0;
  let tables = 0;
  list.forEach((block, index) => {
    const blockId = block.block_id as string | undefined;
    if (blockId !== undefined && blockIds.has(blockId))
      problems.push(say(`block_id '${blockId}' already exists`, [index, 'block_id']));
    if (blockId !== undefined) blockIds.add(blockId);
    if (block.type === 'table') tables += 1;
    if (surface !== 'message' && messageOnly.has(block.type as string))
      problems.push(say(`${String(block.type)} is not allowed on a ${surface}`, [index]));
    const actionIds = new Set<string>();
    for (const element of interactiveElements(block)) {
      if (element.focus_on_load === true) focused += 1;
      const actionId = element.action_id as string | undefined;
      if (actionId === undefined) continue;
      if (actionIds.has(actionId))
        problems.push(say(`action_id '${actionId}' already exists`, [index, 'elements']));
      actionIds.add(actionId);
    }
  });
  if (focused > 1) problems.push(say('only one element may have focus_on_load', []));
  if (tables > 1) problems.push(say('only one table is allowed', []));
  return problems;
}
