import type { KnownBlock } from '@slack/web-api';
import type { Answer, Message } from '../../chat/parts.ts';
import { paragraph } from '../../chat/parts.ts';
import { wholeText } from '../../chat/whole-text.ts';
import { moreThanFits } from '../../wording/edge/refused.ts';
import { blocksOf } from './blocks.ts';
import { limits } from './limits.ts';
import { mrkdwn, shortMrkdwn } from './mrkdwn.ts';

/** Longest text and most characters of JSON that we send, with some air. */
const textMax = limits.messageText - 100;
const jsonMax = limits.messageJson - 400;

/** What the platform is sent. */
export interface Drawn {
  text: string;
  blocks: KnownBlock[];
}

/**
 * The message as it is sent: its text says first what the lock screen shows, then everything its blocks say, since a
 * screen reader reads nothing else. What is too large for the platform, which nothing of ours should be, is cut:
 * refused, a reminder would be lost.
 */
export function drawnMessage({ lead, parts }: Pick<Message, 'lead' | 'parts'>): Drawn {
  return { text: shortMrkdwn(mrkdwn(wholeText(lead, parts)), textMax), blocks: fitted(blocksOf(parts)) };
}

/** What one person is answered. */
export function drawnAnswer({ text, parts }: Answer): { text: string; blocks?: KnownBlock[] } {
  return {
    text: shortMrkdwn(mrkdwn(text), textMax),
    ...(parts ? { blocks: fitted(blocksOf(parts)) } : {}),
  };
}

function fitted(blocks: readonly KnownBlock[]): KnownBlock[] {
  const fits = (some: readonly KnownBlock[]) =>
    some.length <= limits.messageBlocks && JSON.stringify(some).length <= jsonMax;
  if (fits(blocks)) return [...blocks];
  // Buttons but the first of each line go before any words do; the card has them all.
  const plainer = blocks.map((block) =>
    block.type === 'actions' ? { ...block, elements: block.elements.slice(0, 1) } : block,
  );
  const more = blocksOf([paragraph(moreThanFits)]);
  let kept = plainer.length;
  while (kept > 0 && !fits(kept < plainer.length ? [...plainer.slice(0, kept), ...more] : plainer)) kept -= 1;
  return kept < plainer.length ? [...plainer.slice(0, kept), ...more] : plainer;
}
