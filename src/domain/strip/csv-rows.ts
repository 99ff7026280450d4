import { cellsOf, clockSeconds, isFormula, isMissing, numberOf } from './csv-columns.ts';
import type { Layout } from './csv-layout.ts';
import { type Lines, rateOfHead } from './csv-lines.ts';
import { type ParsedStrip, refused, shownText } from './pressure-strip.ts';

/** What stands in the columns that matter, in the order of the lines. */
export interface Rows {
  /** mmHg; NaN where one is missing. */
  pressures: number[];
  /** s; empty where there are none, or none that can be read beside a told rate. */
  times: number[];
  /** The sampling rate that a column has, Hz; null where none does. */
  rateOfColumn: number | null;
  /** The last line broke off and was left out. */
  cutOff: boolean;
}

/** Reads the lines of values; a refusal at the first that holds none. */
export function readRows(layout: Layout, lines: Lines, delimiter: string): Rows | ParsedStrip {
  const { body, bodyFrom, ended } = lines;
  const { rateAt, pressureAt, mmHgPerUnit } = layout;
  const rows: Rows = { pressures: [], times: [], rateOfColumn: null, cutOff: false };
  const times = layout.timeAt < 0 ? null : timesReader(layout, rateOfHead(lines.head) !== null, delimiter);
  for (const [i, line] of body.entries()) {
    if (line.trim() === '') continue;
    const cells = line.includes('"') || line.includes("'") ? cellsOf(line, delimiter) : line.split(delimiter);
    // A broken-off upload ends within a line; what is left of that line may be a wrong number.
    if (i === body.length - 1 && !ended && cells.length < layout.columns) {
      rows.cutOff = true;
      continue;
    }
    const lineNumber = bodyFrom + i;
    const formula = cells.find((cell) => mayBeFormula(cell) && isFormula(cell.trim(), delimiter));
    if (formula !== undefined) return formulaRefusal(formula.trim(), lineNumber);
    const cell = (cells[pressureAt] ?? '').trim();
    const pressure = numberOf(cell, delimiter);
    if (pressure === null && !isMissing(cell))
      return refused({ because: 'no number', line: lineNumber, cell: shownText(cell, 20) });
    if (rateAt >= 0) rows.rateOfColumn ??= numberOf((cells[rateAt] ?? '').trim(), delimiter);
    const bad = times?.read((cells[layout.timeAt] ?? '').trim(), lineNumber);
    if (bad) return bad;
    rows.pressures.push(pressure === null ? Number.NaN : pressure * mmHgPerUnit);
  }
  return { ...rows, times: times?.times() ?? [] };
}

/** The first letter tells of nearly every cell that it is none, at little cost. */
function mayBeFormula(cell: string): boolean {
  const first = cell.trimStart()[0];
  return first === '=' || first === '@' || first === '+' || first === '-';
}

export function formulaRefusal(cell: string, line: number): ParsedStrip {
  return refused({ because: 'formula', line, cell: shownText(cell, 20) });
}

/** Reads the times one by one, s; where a rate was told, times that cannot be read are done without. */
function timesReader(
  { timeName, secondsPerTime }: Layout,
  isRateTold: boolean,
  delimiter: string,
): { read(cell: string, lineNumber: number): ParsedStrip | null; times(): number[] } {
  let times: number[] | null = [];
  let dayS = 0;
  return {
    times: () => times ?? [],
    read(cell, lineNumber) {
      if (times === null) return null;
      const plain = numberOf(cell, delimiter);
      const clock = plain === null ? clockSeconds(cell) : null;
      const seconds = plain === null ? clock : secondsPerTime === null ? null : plain * secondsPerTime;
      if (seconds !== null) {
        // Past midnight a clock begins anew.
        if (clock !== null && seconds + dayS < (times.at(-1) ?? 0) - 43_200) dayS += 86_400;
        times.push(seconds + dayS);
        return null;
      }
      if (isRateTold) {
        times = null;
        return null;
      }
      return refused(
        plain === null
          ? { because: 'no time', line: lineNumber, cell: shownText(cell, 20) }
          : { because: 'time without unit', name: timeName },
      );
    },
  };
}
