import type { Form } from '../chat/form.ts';
import type { ButtonOf, Message, Part } from '../chat/parts.ts';
import type { Asks, Choice, Question } from '../chat/question.ts';
import { mayBeEmpty } from '../wording/edge/blanks.ts';
import { type TerminalLook, terminalHeading, terminalSmallPrint, terminalText } from './terminal-text.ts';

const rule = '─'.repeat(24);

/** A message as lines of a terminal: what it is made of, with its buttons in brackets; its lead where it is made of nothing. */
export function terminalMessage(
  { lead, parts }: Pick<Message, 'lead' | 'parts'>,
  look: TerminalLook = {},
): string {
  return parts.length === 0 ? terminalText(lead, look) : terminalParts(parts, look);
}

/** A page or form as lines of a terminal, under its title; what sends it stands last. */
export function terminalForm({ title, submit, close, parts }: Form, look: TerminalLook = {}): string {
  const ways = [...(submit === undefined ? [] : [submit]), close];
  return [
    terminalHeading(title, look),
    rule,
    terminalParts(parts, look),
    ways.map((words) => bracketed(words, look)).join(' '),
  ].join('\n');
}

function terminalParts(parts: readonly Part[], look: TerminalLook): string {
  return parts.map((part) => terminalPart(part, look)).join('\n');
}

function terminalPart(part: Part, look: TerminalLook): string {
  switch (part.kind) {
    case 'paragraph': {
      const text = terminalText(part.text, look);
      return part.beside ? `${text} ${button(part.beside, look)}` : text;
    }
    case 'small print':
      return terminalSmallPrint(part.text, look);
    case 'heading':
      return terminalHeading(part.text, look);
    case 'buttons':
      return part.buttons.map((one) => button(one, look)).join(' ');
    case 'divider':
      return rule;
    case 'question':
      return question(part, look);
  }
}

function button({ text }: ButtonOf, look: TerminalLook): string {
  return bracketed(text, look);
}

function bracketed(words: string, look: TerminalLook): string {
  return `[${terminalText(words, look)}]`;
}

/** A question under its label, with what stands in it; what may be left empty says so. */
function question({ label, hint, optional, asks }: Question, look: TerminalLook): string {
  const may = optional ? mayBeEmpty : '';
  return [
    `${terminalText(label, look)}${may}:`,
    ...filledIn(asks, look).map((line) => `  ${line}`),
    ...(hint === undefined ? [] : [`  ${terminalSmallPrint(hint, look)}`]),
  ].join('\n');
}

function filledIn(asks: Asks, look: TerminalLook): string[] {
  switch (asks.as) {
    case 'number':
      return [blank(asks.initial === undefined ? undefined : String(asks.initial), look)];
    case 'text':
      return [blank(asks.initial, look)];
    case 'choice':
      return asks.choices.map((choice) =>
        marked(choice, choice.value === asks.initial ? '(•)' : '( )', look),
      );
    case 'several':
      return asks.choices.map((choice) =>
        marked(choice, asks.initial?.includes(choice.value) === true ? '[x]' : '[ ]', look),
      );
    case 'person':
      return [blank(asks.initial && nameOf(asks.initial, look), look)];
    case 'people':
      return [blank(asks.initial.map((user) => nameOf(user, look)).join(', '), look)];
    case 'instant':
      return [blank(asks.initialMs === undefined ? undefined : new Date(asks.initialMs).toISOString(), look)];
  }
}

function blank(text: string | undefined, look: TerminalLook): string {
  return text === undefined || text === '' ? '____' : terminalText(text, look);
}

function nameOf(user: string, { person }: TerminalLook): string {
  return person?.(user) ?? `@${user}`;
}

function marked({ label, description }: Choice, mark: string, look: TerminalLook): string {
  const means = description === undefined ? '' : `: ${terminalText(description, look)}`;
  return `${mark} ${terminalText(label, look)}${means}`;
}
