import { mmHgPerUnit } from './channel-choice.ts';
import { cellsOf, columnOf, delimiterOf, isFormula } from './csv-columns.ts';
import { layoutOf } from './csv-layout.ts';
import { linesOf, mostLineBytes } from './csv-lines.ts';
import { formulaRefusal, readRows } from './csv-rows.ts';
import { stripOf } from './csv-sampling.ts';
import { type ParsedStrip, refused } from './pressure-strip.ts';
import { refusalOfBytes } from './text-of-upload.ts';

/**
 * Reads an arterial pressure strip from CSV: a heading line that names the columns with their units (`time_s,abp_mmHg`;
 * `seconds;ART [mmHg]`; kPa and cmH₂O are converted), values below it, and the sampling rate from a time column, from a column
 * `fs_Hz` or from a comment `# fs=250 Hz`. Comma, semicolon or tab between cells; decimal comma with the latter two. Empty
 * cells and dashes are missing values. Of a long file the last `longestReadMin` minutes are read and the strip says so.
 *
 * `channel` picks among several pressure columns. All refusals are values.
 */
export function parseStripCsv(bytes: Uint8Array, channel: string | null = null): ParsedStrip {
  const unreadable = refusalOfBytes(bytes);
  if (unreadable) return unreadable;
  const lines = linesOf(bytes);
  if (lines === null) return refused({ because: 'line too long', mostCharacters: mostLineBytes });
  const { head, body } = lines;
  const headings = head.filter((line) => !line.startsWith('#') && line.trim() !== '');
  const delimiter = delimiterOf(body[0] ?? headings.at(-1) ?? '');
  for (const [i, line] of head.entries()) {
    if (line.startsWith('#')) continue;
    const cell = cellsOf(line, delimiterOf(line)).find((one) => isFormula(one, delimiter));
    if (cell !== undefined) return formulaRefusal(cell, i + 1);
  }
  const headingAt = headings.findLastIndex(
    (line) => line.split(delimiter).length === (body[0] ?? line).split(delimiter).length,
  );
  const lastTwo = headings.slice(Math.max(0, headings.length - 2)).map((line) => cellsOf(line, delimiter));
  if (headings.length === 0 || headingAt < 0) return refused({ because: 'no header' });
  // A last heading line of units alone belongs to the line above it.
  const last = lastTwo.at(-1) ?? [];
  const isUnits =
    lastTwo.length === 2 && last.some((cell) => mmHgPerUnit(cell.replaceAll(/[[\]()]/g, '')) !== null);
  const names = isUnits ? (lastTwo[0] ?? []) : last;
  const columns = names.map((name, i) => columnOf(name, isUnits ? last[i] : ''));
  const layout = layoutOf(columns, channel);
  if ('result' in layout) return layout;
  const rows = readRows(layout, lines, delimiter);
  return 'result' in rows ? rows : stripOf(layout, rows, lines);
}
