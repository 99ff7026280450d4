import { cellsOf, clockSeconds, delimiterOf, isMissing, numberOf } from './csv-columns.ts';
import { longestReadMin, samplingRange } from './pressure-strip.ts';

const newline = 10;
/** Lines of the end that are read at most, and of the head that may stand before the values. */
const mostLines = longestReadMin * 60 * samplingRange.highestHz;
const mostHeadLines = 200;
export const mostLineBytes = 10_000;

/** Beginning and end of a file as lines; what lies between is only counted. */
export interface Lines {
  head: string[];
  /** Lines of values, from the first after the head or from where the end that is read begins. */
  body: string[];
  /** Line number, from 1, of the first of the body. */
  bodyFrom: number;
  /** Lines of values that were left out before the body. */
  leftOut: number;
  /** Whether the last line ended with a line break. */
  ended: boolean;
}

/** Whether a line holds values: its first cell is a number or a time, or empty before one. Notes on a recording do not. */
export function isValueLine(line: string): boolean {
  if (line.startsWith('#') || line.trim() === '') return false;
  const delimiter = delimiterOf(line);
  const isValue = (cell: string) => numberOf(cell, delimiter) !== null || clockSeconds(cell) !== null;
  const cells = cellsOf(line, delimiter);
  return cells.some(isValue) && (isValue(cells[0] ?? '') || isMissing(cells[0] ?? ''));
}

/** Splits a file; null where a line is so long that it can be no table. */
export function linesOf(bytes: Uint8Array): Lines | null {
  const decoder = new TextDecoder();
  const bare = (from: number, to: number) =>
    decoder
      .decode(bytes.subarray(from, to))
      .replace(/^\uFEFF/, '')
      .replace(/\r$/, '');
  const head: string[] = [];
  let at = 0;
  while (at < bytes.length && head.length < mostHeadLines) {
    const end = bytes.indexOf(newline, at);
    const to = end < 0 ? bytes.length : end;
    if (to - at > mostLineBytes) return null;
    const line = bare(at, to);
    if (isValueLine(line)) break;
    head.push(line);
    at = to + 1;
  }
  let from = bytes.length;
  let count = bytes.at(-1) === newline ? -1 : 0;
  while (count < mostLines && from > at) {
    const before = bytes.lastIndexOf(newline, from - 1);
    if (from - Math.max(before, at) > mostLineBytes) return null;
    from = before < at ? at : before;
    count += 1;
    if (from === at) break;
  }
  let leftOut = 0;
  if (from > at) {
    for (let i = bytes.indexOf(newline, at); i >= 0 && i <= from; i = bytes.indexOf(newline, i + 1))
      leftOut += 1;
    from += 1;
  }
  const text = decoder.decode(bytes.subarray(from));
  const body = text.split('\n').map((line) => (line.endsWith('\r') ? line.slice(0, -1) : line));
  const ended = body.at(-1) === '';
  if (ended) body.pop();
  return { head, body, bodyFrom: head.length + leftOut + 1, leftOut, ended };
}

/** A sampling rate told in a comment of the head, Hz: `# fs=250 Hz`, `# sampling rate: 250`; null where none is. */
export function rateOfHead(head: readonly string[]): number | null {
  for (const line of head) {
    const told =
      /(?:\bfs|\bsampl(?:e|ing)[ _-]*(?:rate|frequency|freq))[\s_]*(?:[([]?hz[)\]]?)?\s*[=:;,\t ]\s*"?(\d+(?:\.\d+)?)\s*(k?)/i.exec(
        line,
      );
    if (told) return Number(told[1]) * (told[2] ? 1_000 : 1);
  }
  return null;
}
