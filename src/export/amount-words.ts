import type { WardCopy } from '../app/ward-copy.ts';

/** What a copy holds, for the person who made it: `ward T1.C1, 1 line, 12 entries`. */
export function amountWords({ wardId, wardEntries, lines }: WardCopy): string {
  const entries = lines.reduce((sum, line) => sum + line.entries.length, wardEntries.length);
  return `ward ${wardId}, ${many(lines.length, 'line', 'lines')}, ${many(entries, 'entry', 'entries')}`;
}

function many(count: number, one: string, more: string): string {
  return `${count} ${count === 1 ? one : more}`;
}
