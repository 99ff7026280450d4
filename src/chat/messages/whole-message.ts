import type { KnownBlock } from '@slack/web-api';
import { shorten } from '../limits.ts';
import { type MessageBody, section } from './blocks.ts';

/** Longest top-level text of a message that is brought up to date is 4,000 (chat.update). */
const textMax = 3_900;
/** Most blocks of a message, and most characters of their JSON (13,200: github slackapi/bolt-js 2509), with some air. */
const blocksMax = 50;
const jsonMax = 12_800;

/**
 * The message as it is sent: its text says first what the lock screen shows, then everything its blocks say, since a
 * screen reader reads nothing else. What is too large for the platform, which nothing of ours should be, is cut:
 * refused, a reminder would be lost.
 */
export function wholeMessage({ text, blocks, ...standing }: MessageBody): MessageBody {
  return { ...standing, text: shorten(wholeText(text, blocks), textMax), blocks: fitted(blocks) };
}

/** `lead`, then the words of the blocks that it does not say itself; without marks for bold. */
export function wholeText(lead: string, blocks: readonly KnownBlock[]): string {
  const said = plainLine(lead);
  const rest = blocks
    .flatMap(wordsOfBlock)
    .map(plainLine)
    .filter((words) => !said.includes(words));
  return [said, ...rest].map((words) => (/[.,:;!?…”]$/.test(words) ? words : `${words}.`)).join(' ');
}

function wordsOfBlock(block: KnownBlock): string[] {
  if (block.type === 'section') return block.text ? [block.text.text] : [];
  if (block.type === 'header') return [block.text.text];
  if (block.type === 'context')
    return block.elements.flatMap((element) => ('text' in element ? [element.text] : []));
  return [];
}

/** One line of text: bold marks gone, and those of a line in italics, a sentence's end where a line ended without one. */
function plainLine(words: string): string {
  return words
    .replaceAll(/\*([^*\n]+)\*/g, '$1')
    .replaceAll(/^_([^_\n]+)_$/gm, '$1')
    .replaceAll(/(?:^|\n)• /g, '\n')
    .trim()
    .replaceAll(/([^.,:;!?…”\s])\n/g, '$1. ')
    .replaceAll('\n', ' ');
}

function fitted(blocks: readonly KnownBlock[]): KnownBlock[] {
  const fits = (some: readonly KnownBlock[]) =>
    some.length <= blocksMax && JSON.stringify(some).length <= jsonMax;
  if (fits(blocks)) return [...blocks];
  // Buttons but the first of each line go before any words do; the card has them all.
  const plainer = blocks.map((block) =>
    block.type === 'actions' ? { ...block, elements: block.elements.slice(0, 1) } : block,
  );
  const more = section('More than fits one message: /artline due shows the rest.');
  let kept = plainer.length;
  while (kept > 0 && !fits(kept < plainer.length ? [...plainer.slice(0, kept), more] : plainer)) kept -= 1;
  return kept < plainer.length ? [...plainer.slice(0, kept), more] : plainer;
}
