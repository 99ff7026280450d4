import { withoutEmphasis } from '../wording/rich-text.ts';
import type { Part } from './parts.ts';

/**
 * `lead`, then the words of the parts that it does not say itself, in one line of rich text without bold: what a screen reader
 * says where it reads nothing else.
 */
export function wholeText(lead: string, parts: readonly Part[]): string {
  const said = plainLine(lead);
  const rest = parts
    .flatMap(wordsOf)
    .map(plainLine)
    .filter((words) => !said.includes(words));
  return [said, ...rest].map((words) => (/[.,:;!?…”]$/.test(words) ? words : `${words}.`)).join(' ');
}

function wordsOf(part: Part): string[] {
  switch (part.kind) {
    case 'paragraph':
    case 'small print':
    case 'heading':
      return [part.text];
    case 'buttons':
    case 'divider':
    case 'question':
      return [];
  }
}

/** One line of text: bold and italics gone, a sentence's end where a line ended without one. */
function plainLine(words: string): string {
  return withoutEmphasis(words)
    .replaceAll(/(?:^|\n)• /g, '\n')
    .trim()
    .replaceAll(/([^.,:;!?…”\s])\n/g, '$1. ')
    .replaceAll('\n', ' ');
}
