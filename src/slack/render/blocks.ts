import type { Button, KnownBlock, SectionBlock } from '@slack/web-api';
import type { ButtonOf, Paragraph, Part } from '../../chat/parts.ts';
import { shorten } from '../../wording/shorten.ts';
import { inputBlock, plain } from './inputs.ts';
import { limits } from './limits.ts';
import { mrkdwn, plainText, shortMrkdwn } from './mrkdwn.ts';

/** Longest text of a section, with air for what is put before it. */
const sectionMax = limits.sectionText - 100;

/** Parts as blocks: one each, and more of a paragraph that is too long for one. */
export function blocksOf(parts: readonly Part[]): KnownBlock[] {
  return parts.flatMap((part) => (part.kind === 'paragraph' ? sectionsOf(part) : [blockOf(part)]));
}

function sectionsOf({ text, id, beside }: Paragraph): SectionBlock[] {
  return inLines(mrkdwn(text)).map((some, index) => ({
    type: 'section',
    text: { type: 'mrkdwn', text: shortMrkdwn(some, sectionMax), verbatim: true },
    ...(index > 0 || id === undefined ? {} : { block_id: id }),
    ...(index > 0 || beside === undefined ? {} : { accessory: buttonOf(beside) }),
  }));
}

/** Whole lines of text, in as many pieces as the platform's size of one asks for. */
function inLines(text: string): string[] {
  if (text.length <= sectionMax) return [text];
  const pieces: string[] = [];
  for (const line of text.split('\n')) {
    const last = pieces.at(-1);
    if (last !== undefined && last.length + line.length + 1 <= sectionMax)
      pieces[pieces.length - 1] = `${last}\n${line}`;
    else pieces.push(line);
  }
  return pieces;
}

function blockOf(part: Exclude<Part, Paragraph>): KnownBlock {
  switch (part.kind) {
    case 'small print':
      return {
        type: 'context',
        ...(part.id === undefined ? {} : { block_id: part.id }),
        elements: [
          { type: 'mrkdwn', text: shortMrkdwn(mrkdwn(part.text), limits.sectionText), verbatim: true },
        ],
      };
    case 'heading':
      return { type: 'header', text: plain(part.text, limits.headerText) };
    case 'buttons':
      return { type: 'actions', block_id: part.id, elements: part.buttons.map(buttonOf) };
    case 'divider':
      return { type: 'divider' };
    case 'question':
      return inputBlock(part);
  }
}

function buttonOf({ action, text, value, primary, label }: ButtonOf): Button {
  const short = (words: string) => shorten(plainText(words), limits.buttonText);
  return {
    type: 'button',
    action_id: action,
    text: { type: 'plain_text', text: short(text) },
    value,
    ...(primary ? { style: 'primary' as const } : {}),
    ...(label ? { accessibility_label: short(label) } : {}),
  };
}
