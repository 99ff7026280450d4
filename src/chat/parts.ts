import type { HandoverPages } from '../app/handover-posts.ts';
import { sizeOf } from '../wording/shorten.ts';
import type { Question } from './question.ts';

/** A press away: what it does is in `action`, of what in `value`. */
export interface ButtonOf {
  /** Begins with the verb it does: done, earlier, later, cannot, claim, accept, open. */
  action: string;
  text: string;
  value: string;
  primary?: boolean;
  /** For a screen reader, when the text alone does not say of which line. */
  label?: string;
}

/** Rich text of one line or several; `id` and a button beside it where it stands for something. */
export interface Paragraph {
  kind: 'paragraph';
  text: string;
  id?: string;
  beside?: ButtonOf;
}

/** Rich text that is read last. */
export interface SmallPrint {
  kind: 'small print';
  text: string;
  /** What it is kept under in a form that comes back; only where it must be read again. */
  id?: string;
}

/** Plain text above what belongs together. */
export interface Heading {
  kind: 'heading';
  text: string;
}

export interface ButtonRow {
  kind: 'buttons';
  id: string;
  buttons: readonly ButtonOf[];
}

export interface Divider {
  kind: 'divider';
}

/** What a message, a page or a form is made of, from top to bottom. */
export type Part = Paragraph | SmallPrint | Heading | ButtonRow | Divider | Question;

export function paragraph(text: string): Paragraph {
  return { kind: 'paragraph', text };
}

/** A paragraph with a button beside it. */
export function paragraphBeside(id: string, text: string, beside: ButtonOf): Paragraph {
  return { kind: 'paragraph', text, id, beside };
}

/** Characters of one paragraph: as many as every platform we know of shows in one piece. */
const paragraphMax = 2_900;

/** Paragraphs of whole lines of text, as many as the size of one asks for. */
export function paragraphs(lines: readonly string[]): Paragraph[] {
  const texts: string[] = [];
  for (const line of lines) {
    const last = texts.at(-1);
    if (last !== undefined && sizeOf(last) + sizeOf(line) + 1 <= paragraphMax)
      texts[texts.length - 1] = `${last}\n${line}`;
    else texts.push(line);
  }
  return texts.map(paragraph);
}

export function smallPrint(text: string): SmallPrint {
  return { kind: 'small print', text };
}

export function heading(text: string): Heading {
  return { kind: 'heading', text };
}

export function buttonRow(id: string, buttons: readonly ButtonOf[]): ButtonRow {
  return { kind: 'buttons', id, buttons };
}

export const divider: Divider = { kind: 'divider' };

/** A message before it is given a channel. */
export interface Message {
  /** What a lock screen and a screen reader say first. */
  lead: string;
  parts: readonly Part[];
  /** Nothing that can happen will change it any more. */
  settled: boolean;
  /** How many messages follow: of the first of a handover. */
  pages?: HandoverPages;
  /** A newer message says all that this one would. */
  superseded?: boolean;
}

/** What one person is answered. */
export interface Answer {
  text: string;
  parts?: readonly Part[];
}
