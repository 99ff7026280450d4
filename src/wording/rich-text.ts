/**
 * Text with marks for what a chat shows otherwise than as letters: bold, italics, something to type, a quoted line, people,
 * places and links. A mark is a noncharacter of Unicode (U+FDD0 to U+FDEF), which is kept for use inside one program (The
 * Unicode Standard, section 23.7): no keyboard types it, and `withoutMarks` takes it out of whatever people wrote. So text
 * that came from people goes into a sentence as it is, and is escaped once, where a platform draws it.
 */
const boldFrom = '\uFDD0';
const boldTo = '\uFDD1';
const italicFrom = '\uFDD2';
const italicTo = '\uFDD3';
const typedFrom = '\uFDD4';
const typedTo = '\uFDD5';
const personFrom = '\uFDD6';
const placeFrom = '\uFDD7';
const linkFrom = '\uFDD8';
const linkWords = '\uFDD9';
/** Ends a person, a place or a link. */
const end = '\uFDDA';
const quote = '\uFDDB';

/** What was written by people, or read from a file of theirs, without anything that could be taken for a mark. */
export function withoutMarks(text: string): string {
  return text.replaceAll(/[\uFDD0-\uFDEF]/g, '');
}

/**
 * A sentence in which `*stars*` make bold and backticks something to type, as it is written here; what is put into it stands
 * as it is, with its own marks.
 *
 * Example: rich`*${name}* · type \`/artline due\``.
 */
export function rich(fixed: TemplateStringsArray, ...said: readonly (string | number | undefined)[]): string {
  const marks = { bold: false, typed: false };
  return fixed.map((part, index) => marked(part, marks) + String(said[index] ?? '')).join('');
}

/** The same for text that stands whole in a table of ours: never for text that came from people. */
export function richText(written: string): string {
  return marked(written, { bold: false, typed: false });
}

function marked(part: string, marks: { bold: boolean; typed: boolean }): string {
  return part.replaceAll(/[*`]/g, (sign) => {
    if (sign === '*') {
      marks.bold = !marks.bold;
      return marks.bold ? boldFrom : boldTo;
    }
    marks.typed = !marks.typed;
    return marks.typed ? typedFrom : typedTo;
  });
}

export function italic(text: string): string {
  return italicFrom + text + italicTo;
}

/** A line that repeats what is said elsewhere. */
export function quotedLine(text: string): string {
  return quote + text;
}

/** A mention that notifies: use it only for whom the message is meant. */
export function person(user: string): string {
  return personFrom + user + end;
}

/** Whether a name is a mention, which stands for one that is not known. */
export function isMention(name: string): boolean {
  return name.startsWith(personFrom);
}

/** A channel, as whoever may see it reads it. */
export function place(channel: string): string {
  return placeFrom + channel + end;
}

export function link(url: string, words: string): string {
  return linkFrom + url + linkWords + words + end;
}

/** The text without bold and italics; people, places, links and what is to be typed stay. */
export function withoutEmphasis(text: string): string {
  return text.replaceAll(/[\uFDD0-\uFDD3]/g, '');
}

/** The text without the marks of what is to be typed. */
export function withoutTyped(text: string): string {
  return text.replaceAll(/[\uFDD4\uFDD5]/g, '');
}

/** How a platform draws what text is made of. */
export interface Look {
  /** Letters that mean themselves, made safe: the one door at which anything is escaped. */
  letters(text: string): string;
  bold: readonly [from: string, to: string];
  italic: readonly [from: string, to: string];
  typed: readonly [from: string, to: string];
  /** What stands before a quoted line. */
  quote: string;
  person(user: string): string;
  place(channel: string): string;
  link(url: string, words: string): string;
}

/** A person, a place or a link as a whole, or one mark, or letters up to the next mark. */
const pieces =
  /([\uFDD6\uFDD7\uFDD8])([^\uFDD0-\uFDEF]*)(?:\uFDD9([^\uFDD0-\uFDEF]*))?\uFDDA|([\uFDD0-\uFDEF])|([^\uFDD0-\uFDEF]+)/g;

/** Text as a platform shows it. */
export function drawn(text: string, look: Look): string {
  const signs: Readonly<Record<string, string>> = {
    [boldFrom]: look.bold[0],
    [boldTo]: look.bold[1],
    [italicFrom]: look.italic[0],
    [italicTo]: look.italic[1],
    [typedFrom]: look.typed[0],
    [typedTo]: look.typed[1],
    [quote]: look.quote,
  };
  return text.replaceAll(pieces, (_all, kind?: string, of = '', words = '', sign?: string, letters = '') => {
    if (kind === personFrom) return look.person(look.letters(of));
    if (kind === placeFrom) return look.place(look.letters(of));
    if (kind === linkFrom) return look.link(look.letters(of), look.letters(words));
    return sign === undefined ? look.letters(letters) : (signs[sign] ?? '');
  });
}
