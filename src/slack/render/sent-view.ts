import { z } from 'zod';
import type { Answered, Sent } from '../../chat/form.ts';
import { withoutMarks } from '../../wording/rich-text.ts';
import { asWritten } from './mrkdwn.ts';

const option = z.object({ value: z.string() });
const stateValue = z.object({
  value: z.string().nullish(),
  selected_option: option.nullish(),
  selected_options: z.array(option).nullish(),
  selected_user: z.string().nullish(),
  selected_users: z.array(z.string()).nullish(),
  selected_date_time: z.number().nullish(),
});

const block = z.object({
  type: z.string(),
  block_id: z.string().optional(),
  elements: z
    .array(z.object({ text: z.string() }))
    .optional()
    .catch(undefined),
});

const viewSchema = z.object({
  callback_id: z.string(),
  private_metadata: z.string().default(''),
  blocks: z.array(block).default([]).catch([]),
  state: z.object({ values: z.record(z.string(), z.record(z.string(), stateValue)) }),
});

/** The view of a submission or of a press in it, parsed once, at the door; null when it has not that shape. */
export function sentView(view: unknown): Sent | null {
  const parsed = viewSchema.safeParse(view);
  if (!parsed.success) return null;
  const { callback_id: id, private_metadata: meta, blocks, state } = parsed.data;
  // In our forms block and action have one id, the question's.
  const answers = Object.entries(state.values).flatMap(([blockId, actions]) => {
    const value = actions[blockId] ?? Object.values(actions)[0];
    return value === undefined ? [] : [[blockId, answered(value)] as const];
  });
  return {
    id,
    meta,
    asked: blocks.flatMap(({ type, block_id }) => (type === 'input' && block_id ? [block_id] : [])),
    answers: Object.fromEntries(answers),
    kept: Object.fromEntries(blocks.flatMap(keptOf)),
  };
}

/** The platform sends an input left empty as null, as [] or not at all: all three are absent here. */
function answered(value: z.infer<typeof stateValue>): Answered {
  const { value: text, selected_option, selected_options, selected_user, selected_users } = value;
  const seconds = value.selected_date_time;
  return {
    ...(text ? { text: withoutMarks(text) } : {}),
    ...(selected_option ? { chosen: selected_option.value } : {}),
    ...(selected_options ? { ticked: selected_options.map((one) => one.value) } : {}),
    ...(selected_user ? { person: selected_user } : {}),
    ...(selected_users ? { people: selected_users } : {}),
    ...(typeof seconds === 'number' && Number.isInteger(seconds) && seconds >= 0
      ? { atMs: seconds * 1000 }
      : {}),
  };
}

/** Small print that must be read again, without the stars of its lead. */
function keptOf({ type, block_id, elements }: z.infer<typeof block>): [string, string][] {
  const text = elements?.[0]?.text;
  if (type !== 'context' || block_id === undefined || text === undefined) return [];
  return [[block_id, asWritten(text.replace(/^\*([^*]*)\*/, '$1'))]];
}
