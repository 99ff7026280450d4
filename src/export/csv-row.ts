/** What a cell holds; null is an empty one. */
export type Cell = string | number | boolean | null;

/** How a text begins that a spreadsheet would work out as a formula (OWASP, "CSV Injection"), full-width signs too. */
const formulaStart = /^[=+\-@\t\r\n＝＋－＠]/;

/**
 * One row of a table as RFC 4180 has it, with its CRLF: cells with a comma, quote, line break or outer blank are quoted,
 * quotes doubled. A text that a spreadsheet would take for a formula gets an apostrophe before it; numbers stay numbers,
 * negative ones too.
 */
export function csvRow(cells: readonly Cell[]): string {
  return `${cells.map(csvCell).join(',')}\r\n`;
}

function csvCell(cell: Cell): string {
  if (cell === null) return '';
  if (typeof cell !== 'string') return String(cell);
  const text = formulaStart.test(cell) ? `'${cell}` : cell;
  return /[",\r\n]|^\s|\s$/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
