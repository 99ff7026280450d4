import { lineVerbs } from '../verbs/line-verbs.ts';
import { excerpt } from './clean-text.ts';
import { foldWord, wordsOf } from './fold-words.ts';
import { nearestWord } from './nearest-word.ts';

/** Verbs of the command that are not about one line that is in. */
const wardVerbs = [
  'place',
  'attempt',
  'risks',
  'due',
  'mine',
  'round',
  'handover',
  'assign',
  'audit',
  'oncall',
  'cover',
  'setup',
  'policy',
  'targets',
  'amend',
  'export',
  'help',
] as const;

/** Every verb that works, for help and suggestions. */
export const commandVerbs: readonly string[] = [
  'place',
  ...lineVerbs.map(({ verb }) => verb),
  ...wardVerbs.slice(1),
];

/** What a ward says for a line that came out. */
const outPattern = /^(?:(?:taken|took|pulled|came|is) out|pulled|out)(?= |$)/u;

/** Where among the first words it is said that a line came out, and the words without that; null where nowhere. */
function takenOut(words: readonly string[]): { said: string; at: number; left: string[] } | null {
  const folded = words.map(foldWord);
  for (let at = 0; at < Math.min(8, words.length); at++) {
    const [said] = outPattern.exec(folded.slice(at, at + 2).join(' ')) ?? [];
    if (said === undefined) continue;
    const used = wordsOf(said).length;
    return { said, at, left: [...words.slice(0, at), ...words.slice(at + used)] };
  }
  return null;
}

/** The verb that a word is, or is the past of: `flushed`, `removed`. */
function verbOf(word: string): string | undefined {
  return [word, word.replace(/ed$/u, ''), word.replace(/d$/u, '')].find((one) => commandVerbs.includes(one));
}

/** What the words after the slash command ask for. Messages are plain text, not yet escaped. */
export type Command =
  | { is: 'menu' }
  | { is: 'verb'; verb: string; rest: string }
  /** `rest`: the words that belong to the verb suggested. */
  | { is: 'unknown'; typed: string; suggestion?: string; rest?: string; message: string };

/** Reads the text after the slash command `command` (`/artline` unless the ward calls it otherwise). */
export function parseCommand(text: string, command = '/artline'): Command {
  const [first, ...others] = wordsOf(text);
  if (first === undefined) return { is: 'menu' };
  const verb = foldWord(first);
  const rest = others.join(' ');
  if (commandVerbs.includes(verb)) return { is: 'verb', verb, rest };
  const typed = excerpt(first);
  const list = `${command} help lists what you can type; ${command} alone opens the menu.`;
  const out = takenOut([first, ...others]);
  if (out) {
    const meant = [command, 'remove', ...out.left.slice(0, 12)].join(' ');
    return {
      is: 'unknown',
      typed,
      suggestion: 'remove',
      rest: out.left.join(' '),
      message: `I don’t know “${out.at === 0 ? out.said : typed}”. Did you mean ${meant}? ${list}`,
    };
  }
  const later = others
    .slice(0, 8)
    .map((word) => verbOf(foldWord(word)))
    .find((word) => word !== undefined);
  if (later !== undefined) {
    return {
      is: 'unknown',
      typed,
      suggestion: later,
      message: `I don’t know “${typed}”. Put what was done first: ${command} ${later} ${typed}.`,
    };
  }
  const suggestion = nearestWord(verb, commandVerbs);
  if (suggestion === undefined) return { is: 'unknown', typed, message: `I don’t know “${typed}”. ${list}` };
  return {
    is: 'unknown',
    typed,
    suggestion,
    rest,
    message: `I don’t know “${typed}”. Did you mean ${[command, suggestion, ...others.slice(0, 12)].join(' ')}? ${list}`,
  };
}
