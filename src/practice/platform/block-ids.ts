import { randomBytes } from 'node:crypto';
import { interactiveElements } from './block-limits.ts';
import { holdsValue, initialValue } from './element-values.ts';
import type { Json } from './message.ts';

const freshId = () => randomBytes(4).toString('base64url');

/** The same blocks, with an id given to every block and element that has none, as the platform does. */
export function withIds(blocks: readonly Json[]): Json[] {
  const copies = structuredClone(blocks) as Json[];
  for (const block of copies) {
    block.block_id ??= freshId();
    for (const element of interactiveElements(block)) element.action_id ??= freshId();
  }
  return copies;
}

/** `state.values` by block id and action id. */
export type StateValues = Record<string, Record<string, Json>>;

/**
 * The values a view or message holds after it is drawn: what a person already put into an element with the same
 * block id, action id and type stays; everything else starts from its initial value.
 */
export function drawnValues(blocks: readonly Json[], before: StateValues = {}): StateValues {
  const values: StateValues = {};
  for (const block of blocks) {
    const blockId = block.block_id as string;
    for (const element of interactiveElements(block)) {
      if (!holdsValue(element)) continue;
      const actionId = element.action_id as string;
      const kept = before[blockId]?.[actionId];
      values[blockId] ??= {};
      values[blockId][actionId] = kept?.type === element.type && kept ? kept : initialValue(element);
    }
  }
  return values;
}

/** One element where it stands. */
export interface PlacedElement {
  block: Json;
  element: Json;
}

/** All elements of the blocks a person can use, in reading order. */
export function placedElements(blocks: readonly Json[]): PlacedElement[] {
  return blocks.flatMap((block) => interactiveElements(block).map((element) => ({ block, element })));
}

/** Puts what a person chose in one element into the values. */
export function hold(values: StateValues, { block, element }: PlacedElement, value: Json): void {
  const blockId = String(block.block_id);
  values[blockId] = { ...values[blockId], [String(element.action_id)]: value };
}
