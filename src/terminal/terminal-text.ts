import { drawn, type Look } from '../wording/rich-text.ts';

/** What a terminal needs to know to show text. */
export interface TerminalLook {
  /** The name of a person, and of a channel; without one, the id stands. */
  person?: (user: string) => string | undefined;
  place?: (channel: string) => string | undefined;
  /** Whether bold and small print are shown as such, by escape sequences (ECMA-48, SGR). */
  styled?: boolean;
}

const sequences = {
  bold: ['\u001B[1m', '\u001B[22m'],
  dim: ['\u001B[2m', '\u001B[22m'],
  italic: ['\u001B[3m', '\u001B[23m'],
} as const;
const none = ['', ''] as const;

/** Everything by which text could steer a terminal, but the end of a line: C0, delete and C1. */
const controls = /(?!\n)\p{Cc}/gu;

function lookOf({ person, place, styled = false }: TerminalLook): Look {
  return {
    letters: (text) => text.replaceAll(controls, ''),
    bold: styled ? sequences.bold : none,
    italic: styled ? sequences.italic : none,
    typed: none,
    quote: '> ',
    person: (user) => person?.(user) ?? `@${user}`,
    place: (channel) => place?.(channel) ?? `#${channel}`,
    link: (url, words) => `${words} (${url})`,
  };
}

/** Rich text as lines of a terminal. */
export function terminalText(text: string, look: TerminalLook = {}): string {
  return drawn(text, lookOf(look));
}

/** Rich text that is read last: dimmed where the terminal shows such. */
export function terminalSmallPrint(text: string, look: TerminalLook): string {
  const words = terminalText(text, look);
  return look.styled ? `${sequences.dim[0]}${words}${sequences.dim[1]}` : words;
}

/** Rich text above what belongs together. */
export function terminalHeading(text: string, look: TerminalLook): string {
  const words = terminalText(text, look);
  return look.styled ? `${sequences.bold[0]}${words}${sequences.bold[1]}` : words;
}
