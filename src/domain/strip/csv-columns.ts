import type { Channel } from './channel-choice.ts';

/** Seconds in one unit of time as recorders write it. */
const secondsPer: Readonly<Record<string, number>> = {
  s: 1,
  sec: 1,
  secs: 1,
  second: 1,
  seconds: 1,
  ms: 0.001,
  msec: 0.001,
  millisecond: 0.001,
  milliseconds: 0.001,
  min: 60,
  minute: 60,
  minutes: 60,
};

/** Seconds in one of the unit; null where it is no unit of time that is taken. */
export function secondsPerUnit(unit: string): number | null {
  return secondsPer[unit.toLowerCase().replaceAll(/[\s.]/g, '')] ?? null;
}

const unitWords = 'mm ?hg|k?pa|cm ?h[2₂]o|m?v|volts?|hz|' + Object.keys(secondsPer).join('|');
const inBrackets = /^(.*?)[\s_]*[[(]\s*([^\])]*?)\s*[\])]\s*$/;
const afterName = new RegExp(`^(.*?)(?:[\\s_,/:-]+)(${unitWords})$`, 'i');

/**
 * Name and unit of a column from its heading: `abp_mmHg`, `ART [mmHg]`, `ABP (kPa)`, `time_s`, `seconds`; the unit is
 * empty where the heading has none. A second line of the head may give it instead.
 */
export function columnOf(heading: string, unitBelow = ''): Channel {
  const text = heading.trim();
  const bracketed = inBrackets.exec(text);
  if (bracketed) return { name: bracketed[1] || text, unit: bracketed[2] ?? '' };
  const tail = afterName.exec(text);
  if (tail?.[1] && tail[2]) return { name: tail[1], unit: tail[2] };
  const below = unitBelow.trim().replaceAll(/^[[('"]+|[\])'"]+$/g, '');
  if (below !== '') return { name: text, unit: below };
  return { name: text, unit: secondsPerUnit(text) === null ? '' : text };
}

/** The cells of a line: split at the delimiter, quotes and blanks around them taken off. */
export function cellsOf(line: string, delimiter: string): string[] {
  if (!line.includes('"') && !line.includes("'")) return line.split(delimiter).map((cell) => cell.trim());
  const cells: string[] = [];
  let [cell, quote] = ['', ''];
  for (const c of line) {
    if (quote !== '') {
      if (c === quote) quote = '';
      else cell += c;
    } else if ((c === '"' || c === "'") && cell.trim() === '') quote = c;
    else if (c === delimiter) {
      cells.push(cell.trim());
      cell = '';
    } else cell += c;
  }
  cells.push(cell.trim());
  return cells;
}

/** The delimiter of a heading line: semicolon, tab or comma, whichever stands in it, in that order. */
export function delimiterOf(line: string): ';' | '\t' | ',' {
  return line.includes(';') ? ';' : line.includes('\t') ? '\t' : ',';
}

/** A number as a spreadsheet writes it, with a decimal comma where the delimiter is not one; null where it is none. */
export function numberOf(cell: string, delimiter: string): number | null {
  const text = delimiter === ',' ? cell : cell.replace(',', '.');
  if (!/^[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?$/i.test(text)) return null;
  return Number(text);
}

/** Whether a cell would be run as a formula by a spreadsheet: `=`, `@`, or a sign before something that is no number. */
export function isFormula(cell: string, delimiter: string): boolean {
  if (cell.startsWith('=') || cell.startsWith('@')) return true;
  return /^[+-][^\s-]/.test(cell) && numberOf(cell, delimiter) === null && !isMissing(cell);
}

/** Whether a cell stands for "no value". */
export function isMissing(cell: string): boolean {
  return /^(?:|-+|\.|nan|-nan|na|n\/a|null|none|inf|-inf|\+inf|[-+]?infinity|\*+|\?+|-{2,}[.,]-+)$/i.test(
    cell,
  );
}

/** Seconds of a clock time such as 19:04:12.520 or 4:12.5; null where it is none. */
export function clockSeconds(cell: string): number | null {
  const clock =
    /^(?:(?:\S+?[ T])?(\d{1,2}):)?(\d{1,2}):(\d{1,2}(?:[.,]\d+)?)\s*(?:Z|[+-]\d{2}:?\d{2}|[AP]\.?M\.?)?$/i.exec(
      cell,
    );
  if (!clock) return null;
  const seconds = Number((clock[3] ?? '').replace(',', '.'));
  return Number(clock[1] ?? 0) * 3600 + Number(clock[2]) * 60 + seconds;
}
