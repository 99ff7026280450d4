import { mean, standardDeviation } from '../../../src/domain/strip/smoothing.ts';

/** Bias and limits of agreement (Bland and Altman): mean difference and ± 1.96 standard deviations. */
export interface Agreement {
  count: number;
  bias: number;
  low: number;
  high: number;
}

/** Agreement of differences "read less true"; null of fewer than two. */
export function agreementOf(differences: readonly number[]): Agreement | null {
  if (differences.length < 2) return null;
  const bias = mean(differences);
  const spread = 1.96 * standardDeviation(differences);
  return { count: differences.length, bias, low: bias - spread, high: bias + spread };
}

/** How far off the worse limit lies. */
export function worstOf(agreement: Agreement | null): number {
  return agreement === null ? 0 : Math.max(Math.abs(agreement.low), Math.abs(agreement.high));
}

/** "+0.1 (−0.4 to 0.6)" with so many decimals; a dash of nothing. */
export function agreementWords(agreement: Agreement | null, decimals: number): string {
  if (agreement === null) return '–';
  const number = (value: number) => value.toFixed(decimals).replace('-', '−');
  return `${number(agreement.bias)} (${number(agreement.low)} to ${number(agreement.high)})`;
}
