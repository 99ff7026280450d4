/** What a cell holds; null is an empty one. */
export type Cell = string | number | boolean | null;

/**
 * Where a spreadsheet would begin to work a text out (OWASP, "CSV Injection"): at a sign that begins a formula, full-width
 * and small ones too, behind blanks and marks that show nothing, at the text's start or behind what parts cells or rows
 * for a spreadsheet set to another language.
 */
const formula = /(^|[;\t\r\n])([\s\p{Cc}\p{Cf}]*)(?=[=+\-@＝＋－＠﹦﹢﹣﹫])/gu;
/** A cell that begins with one of these is read as several, or as one that begins behind it. */
const brokenStart = /^[\t\r\n]/;

/**
 * One row of a table as RFC 4180 has it, with its CRLF: cells with a comma, quote, line break or outer blank are quoted,
 * quotes doubled. What a spreadsheet would take for a formula, the whole text or a part of it behind a semicolon or line break,
 * gets an apostrophe before it; numbers stay numbers, negative ones too.
 */
export function csvRow(cells: readonly Cell[]): string {
  return `${cells.map(csvCell).join(',')}\r\n`;
}

function csvCell(cell: Cell): string {
  if (cell === null) return '';
  if (typeof cell !== 'string') return String(cell);
  const text = plainText(cell);
  return /[",\r\n]|^\s|\s$/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

function plainText(cell: string): string {
  const text = cell.replaceAll(formula, "$1$2'");
  return brokenStart.test(text) ? `'${text}` : text;
}
