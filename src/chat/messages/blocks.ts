import type { ActionsBlock, Button, ContextBlock, KnownBlock, SectionBlock } from '@slack/web-api';
import type { HandoverPages } from '../../app/handover-posts.ts';
import { limits, shorten } from '../limits.ts';

/** Longest text of a section, kept under the platform's 3,000. */
const sectionMax = 2_900;

export function section(text: string): SectionBlock {
  return { type: 'section', text: { type: 'mrkdwn', text: shorten(text, sectionMax), verbatim: true } };
}

/** Sections of whole lines of text, as many as the platform's size of one asks for. */
export function sections(lines: readonly string[]): SectionBlock[] {
  const texts: string[] = [];
  for (const line of lines) {
    const last = texts.at(-1);
    if (last !== undefined && last.length + line.length + 1 <= sectionMax)
      texts[texts.length - 1] = `${last}\n${line}`;
    else texts.push(line);
  }
  return texts.map(section);
}

export function context(text: string): ContextBlock {
  return { type: 'context', elements: [{ type: 'mrkdwn', text, verbatim: true }] };
}

export interface ButtonSpec {
  /** Begins with the verb it does: done, earlier, later, cannot, claim, accept, open. */
  action: string;
  text: string;
  value: string;
  primary?: boolean;
  /** For a screen reader, when the text alone does not say of which line. */
  label?: string;
}

export function button({ action, text, value, primary, label }: ButtonSpec): Button {
  return {
    type: 'button',
    action_id: action,
    text: { type: 'plain_text', text: shorten(text, limits.buttonText) },
    value,
    ...(primary ? { style: 'primary' as const } : {}),
    ...(label ? { accessibility_label: shorten(label, limits.buttonText) } : {}),
  };
}

export function actions(blockId: string, buttons: readonly ButtonSpec[]): ActionsBlock {
  return { type: 'actions', block_id: blockId, elements: buttons.map(button) };
}

/** A message before it is given a channel: what screen readers and lock screens read, and what is drawn. */
export interface MessageBody {
  text: string;
  blocks: KnownBlock[];
  /** Nothing that can happen will change it any more. */
  settled: boolean;
  /** How many messages follow: of the first of a handover. */
  pages?: HandoverPages;
  /** A newer message says all that this one would. */
  superseded?: boolean;
}
