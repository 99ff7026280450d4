/** One row of the bench's table: ours against the raw thing it is built on, measured in one run. */
export interface Measured {
  what: string;
  ours: string;
  raw: string;
  /** Ours over raw; null where the aim is an absolute size. */
  ratio: number | null;
  aim: string;
}

/** The value below which a share `p` (0 to 1) of the values lies; nearest rank. */
export function percentile(values: readonly number[], p: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.ceil(p * sorted.length) - 1)] ?? Number.NaN;
}

export function ms(value: number): string {
  return `${value < 10 ? value.toFixed(2) : value.toFixed(0)} ms`;
}

/** The rows as a Markdown table. */
export function table(rows: readonly Measured[]): string {
  const cells = rows.map(({ what, ours, raw, ratio, aim }) => [
    what,
    ours,
    raw,
    ratio === null ? '' : ratio.toFixed(2),
    aim,
  ]);
  const head = ['what', 'ours', 'raw', 'ratio', 'aim'];
  const line = (row: readonly string[]) => `| ${row.join(' | ')} |`;
  return [line(head), line(head.map(() => '---')), ...cells.map(line)].join('\n');
}
