import type { Side, Site } from '../../domain/line/anatomy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { placeWords } from '../../wording/care/line-words.ts';
import { sideOf, siteAt } from './anatomy-words.ts';
import { excerpt } from './clean-text.ts';
import { foldAccents, foldCase, foldWord, wordsOf } from './fold-words.ts';
import { nearestWord } from './nearest-word.ts';

type Named = Pick<LineState, 'patient' | 'site' | 'side'>;

/** Which line is meant. Messages are plain text, not yet escaped. */
export type FoundLine<L extends Named> =
  /** Exactly one; `rest` are the words after the name (and site, where one was said). */
  | { is: 'one'; line: L; rest: string }
  /** The name fits several lines: ask which of `lines`. `noneThere`: a side or site was said that none of them has. */
  | { is: 'which'; lines: L[]; rest: string; message: string; noneThere: boolean }
  /** No words at all: ask which of all. */
  | { is: 'unnamed'; message: string }
  /** `guess`: the line that may be meant, and the words after its name. */
  | { is: 'none'; typed: string; message: string; guess?: { line: L; rest: string } };

/** More words than any name of 40 characters has. */
const mostNameWords = 40;
const mostNamesListed = 20;

/**
 * The line whose patient's name `text` begins with. Case, accents, width and punctuation do not matter, but where they
 * tell two patients apart the one spelt as typed is meant; the longest name that fits wins. The name may stand in
 * quotes. Side and site after the name choose between two lines of one patient.
 */
export function findLine<L extends Named>(
  text: string,
  lines: readonly L[],
  command = '/artline',
): FoundLine<L> {
  const words = wordsOf(text);
  if (words.length === 0) {
    return { is: 'unnamed', message: `Which patient? ${namesThere(lines, command)}` };
  }
  const named = byName(words, lines);
  if (named.lines.length === 0) {
    const typed = excerpt(named.quoted ?? words.slice(0, 3).join(' '));
    const near = nearestWord(
      foldAccents(words[0] ?? ''),
      lines.map(({ patient }) => foldAccents(patient.name)),
    );
    const meant =
      near === undefined ? undefined : lines.find(({ patient }) => foldAccents(patient.name) === near);
    const guess = meant === undefined ? '' : `Did you mean ${meant.patient.name}? `;
    return {
      is: 'none',
      typed,
      message: `No line here is called “${typed}”. ${guess}${namesThere(lines, command)}`,
      ...(meant === undefined ? {} : { guess: { line: meant, rest: words.slice(1).join(' ') } }),
    };
  }
  return bySite(named.lines, words.slice(named.used));
}

/** `Biscuit (left dorsal pedal), Mo (median caudal)`: what could have been typed. */
function namesThere(lines: readonly Named[], command: string): string {
  if (lines.length === 0) return `No line is registered here. ${command} place registers one.`;
  const shown = lines.slice(0, mostNamesListed).map((line) => `${line.patient.name} (${placeWords(line)})`);
  const more = lines.length > mostNamesListed ? ` and ${lines.length - mostNamesListed} more` : '';
  return `Lines here: ${shown.join(', ')}${more}. Write the name right after the verb.`;
}

const quotes: Readonly<Record<string, string>> = {
  '"': '"”',
  '“': '”"',
  '„': '“”"',
  '«': '»',
  "'": "'’",
  '‘': "’'",
};

/** Words up to the quote that closes the one they begin with. */
function quotedName(words: readonly string[]): { name: string; used: number } | null {
  const closing = quotes[words[0]?.[0] ?? ''];
  if (closing === undefined) return null;
  const last = words.slice(0, mostNameWords).findIndex((word, index) => {
    const end = word.replace(/[,;:]+$/u, '').at(-1) ?? '';
    return closing.includes(end) && (index > 0 || word.length > 1);
  });
  if (last === -1) return null;
  const name = words
    .slice(0, last + 1)
    .join(' ')
    .replace(/[,;:]+$/u, '');
  return { name: name.slice(1, -1), used: last + 1 };
}

function byName<L extends Named>(
  words: readonly string[],
  lines: readonly L[],
): { lines: L[]; used: number; quoted?: string } {
  const quoted = quotedName(words);
  if (quoted !== null) {
    const exact = lines.filter(({ patient }) => foldCase(patient.name) === foldCase(quoted.name));
    const loose = lines.filter(({ patient }) => isSameLoosely(patient.name, quoted.name));
    const found = exact.length > 0 ? exact : loose;
    if (found.length > 0) return { lines: found, used: quoted.used, quoted: quoted.name };
  }
  // For each beginning of the words the fewest words that spell it, so that a dash after the name stays a minus.
  const exactly = new Map<string, number>();
  const loosely = new Map<string, number>();
  let beginning = '';
  for (const [index, word] of words.slice(0, mostNameWords).entries()) {
    beginning = index === 0 ? word : `${beginning} ${word}`;
    for (const [map, key] of [
      [exactly, foldCase(beginning)],
      [exactly, foldCase(beginning.replace(/[,;:]+$/u, ''))],
      [loosely, foldAccents(beginning)],
    ] as const) {
      if (key !== '' && !map.has(key)) map.set(key, index + 1);
    }
  }
  let best: { lines: L[]; used: number; exact: boolean } = { lines: [], used: 0, exact: false };
  for (const line of lines) {
    const usedExactly = exactly.get(foldCase(line.patient.name)) ?? 0;
    const usedLoosely = loosely.get(foldAccents(line.patient.name)) ?? 0;
    const used = Math.max(usedExactly, usedLoosely);
    const exact = used > 0 && usedExactly === used;
    if (used === 0 || used < best.used || (used === best.used && best.exact && !exact)) continue;
    if (used > best.used || (exact && !best.exact)) best = { lines: [line], used, exact };
    else best.lines.push(line);
  }
  return quoted === null ? best : { ...best, quoted: quoted.name };
}

function isSameLoosely(one: string, other: string): boolean {
  const folded = foldAccents(one);
  return folded !== '' && folded === foldAccents(other);
}

function bySite<L extends Named>(lines: readonly L[], words: readonly string[]): FoundLine<L> {
  const folded = words.map(foldWord);
  let used = 0;
  let side: Side | undefined;
  let site: Site | undefined;
  for (;;) {
    const nextSide = side === undefined ? sideOf(folded[used]) : undefined;
    const nextSite = site === undefined ? siteAt(folded, used) : null;
    if (nextSide !== undefined) {
      side = nextSide;
      used += 1;
    } else if (nextSite !== null) {
      site = nextSite.site;
      side ??= nextSite.side;
      used += nextSite.used;
    } else break;
  }
  const rest = words.slice(used).join(' ');
  const fitting = lines.filter(
    (line) => (side === undefined || line.side === side) && (site === undefined || line.site === site),
  );
  const [first, second] = fitting;
  if (first !== undefined && second === undefined) return { is: 'one', line: first, rest };
  const there = (first === undefined ? lines : fitting).map((line) => placeWords(line)).join(', ');
  const name = lines[0]?.patient.name ?? '';
  if (first === undefined) {
    const said = [side, site].filter(Boolean).join(' ');
    return {
      is: 'which',
      lines: [...lines],
      rest,
      message: `${name} has no ${said} line. There is: ${there}. Which one?`,
      noneThere: true,
    };
  }
  return {
    is: 'which',
    lines: fitting,
    rest,
    message: `${name} has ${fitting.length} lines: ${there}. Which one?`,
    noneThere: false,
  };
}
