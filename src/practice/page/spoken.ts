import type { PageMessage, PageState } from '../page-messages.ts';
import type { Words } from './drawing.ts';
import { lockLine } from './markup.ts';
import { newestTs } from './slips.ts';

/** The instant of the newest message of all, as its timestamp counts. */
export function newestOf({ messages, ephemerals }: PageState): number {
  return newestTs([...Object.values(messages).flat(), ...ephemerals]);
}

/** What a message says to the ear: its text; where it has none, its pictures' words and its files' names. */
function spokenLine(words: Words, { text, files = [] }: PageMessage): string {
  if (text !== '') return lockLine(words, text);
  return files.map(({ alt_txt: alt, name }) => alt || name).join(', ');
}

/** What came after `afterTs`, once, however many readers show it: a line a message, with where it stands. */
export function spokenLines(words: Words, afterTs: number): string[] {
  const { people, messages, ephemerals, ward } = words.state;
  const name = (id: string) => people.find((person) => person.id === id)?.name ?? '';
  const fresh = (some: readonly PageMessage[], where: string) =>
    some
      .filter((message) => Number(message.ts) > afterTs)
      .map((message) => spokenLine(words, message))
      .filter((line) => line !== '')
      .map((line) => `${where}: ${line}`);
  return [
    ...Object.entries(messages).flatMap(([channel, open]) =>
      fresh(open, channel === ward.id ? 'Ward channel' : `Direct message to ${name(`U${channel.slice(1)}`)}`),
    ),
    ...ephemerals.flatMap((message) => fresh([message], `Only for ${name(message.reader)}`)),
  ];
}
