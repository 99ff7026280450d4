import type { KnownBlock } from '@slack/web-api';
import { section } from './messages/blocks.ts';

/** How many blocks a message may have. */
const mostBlocks = 50;

/** What is said, after a warning that concerns everybody; null: there is none. */
export function withWarning(
  warning: string | null,
  text: string,
  blocks: readonly KnownBlock[] | undefined,
): { text: string; blocks?: KnownBlock[] } {
  if (warning === null) return { text, ...(blocks ? { blocks: [...blocks] } : {}) };
  return {
    text: `${warning}\n${text}`,
    ...(blocks ? { blocks: [section(`*${warning}*`), ...blocks].slice(0, mostBlocks) } : {}),
  };
}
