import { excerpt } from './clean-text.ts';
import { foldCase, foldWord, wordsOf } from './fold-words.ts';
import { personWord } from './person-word.ts';

/** What the words after `assign` ask for. `patient` are the words before the person; messages are plain, not yet escaped. */
export type AssignWords =
  | { is: 'form'; patient: string }
  | { is: 'ok'; whose: 'all' | { patient: string }; nurse: string; next: boolean }
  | { is: 'wrong'; message: string };

const everyLine: readonly string[] = ['all', 'all lines', 'everything', 'every line'];
const atOnce: readonly string[] = ['', 'now', 'at once'];
const nextShift: readonly string[] = [
  'next shift',
  'coming shift',
  'next',
  'the next shift',
  'the coming shift',
];

/**
 * Reads `Biscuit @ina`, `all @ina`, `Biscuit to @ina next shift`: whose line, to whom, now or for the coming shift. Without a
 * person it asks for the form.
 */
export function assignFromWords(text: string, command: string): AssignWords {
  const words = wordsOf(text);
  const at = words.findIndex((word) => personWord(word) !== undefined);
  const nurse = personWord(words[at]);
  if (nurse === undefined) return { is: 'form', patient: words.join(' ') };
  const before = words.slice(0, at);
  if (foldWord(before.at(-1) ?? '') === 'to') before.pop();
  const whose = before.length === 0 ? 'all' : excerpt(before.join(' '));
  const example = `Write it like this: ${command} assign ${whose} @name, ${command} assign ${whose} @name next shift.`;
  const when = words
    .slice(at + 1)
    .map(foldWord)
    .filter((word) => word !== '');
  if (when[0] === 'from' || when[0] === 'for') when.shift();
  const said = when.join(' ');
  if (!atOnce.includes(said) && !nextShift.includes(said)) {
    const typed = excerpt(words.slice(at + 1).join(' '));
    return { is: 'wrong', message: `I didn’t understand “${typed}” after the name. ${example}` };
  }
  if (before.length === 0)
    return { is: 'wrong', message: `Which line? Write the patient’s name, or all. ${example}` };
  const isAll = everyLine.includes(before.map(foldCase).join(' '));
  return {
    is: 'ok',
    whose: isAll ? 'all' : { patient: before.join(' ') },
    nurse,
    next: nextShift.includes(said),
  };
}
