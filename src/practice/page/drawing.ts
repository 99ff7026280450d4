import type { ActAnswer, HeldValue, PageState, PersonAct } from '../page-messages.ts';
import type { Block } from '../platform/block-limits.ts';
import type { UsableElement } from '../platform/element-limits.ts';
import type { RawValue } from '../platform/element-values.ts';

/** What words are drawn from. */
export interface Words {
  state: PageState;
  /** Ward time. */
  nowMs: () => number;
}

/** A press of a key or a choice, by where it stands. */
export interface Press {
  actionId: string;
  blockId: string;
  selected?: RawValue;
}

/** What blocks are drawn from, and what their keys do. */
export interface Drawing extends Words {
  act: (act: PersonAct) => Promise<ActAnswer>;
  press: (press: Press) => Promise<unknown>;
  /** What an element outside inputs holds; where nothing, what it started with. */
  held?: (block: Block, element: UsableElement) => HeldValue | undefined;
}

/** The ids by which the bot knows an element; the platform gave each one where the bot did not. */
export const placeOf = (block: Block, element: UsableElement): Pick<Press, 'actionId' | 'blockId'> => ({
  actionId: element.action_id ?? '',
  blockId: block.block_id ?? '',
});
