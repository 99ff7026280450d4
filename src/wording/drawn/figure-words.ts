import type { Share } from '../../domain/audit/share.ts';
import type { Interval } from '../../domain/statistics/interval.ts';

/** A share as whole percent; never 0 or 100 where it is not. */
export function percentWords(share: number): string {
  const percent = 100 * share;
  const rounded = Math.round(percent);
  if (share > 0 && rounded === 0) return 'under 1 %';
  if (share < 1 && rounded === 100) return 'over 99 %';
  return `${rounded} %`;
}

/** An interval of a share: `84 to 90 %`. */
export function percentRange({ lower, upper }: Interval): string {
  return `${Math.round(100 * lower)} to ${Math.round(100 * upper)} %`;
}

/** A share with its 95 % interval and what it was counted from: `87 % (84 to 90 %), 412 of 474`. */
export function shareWords({ share, score, count, total }: Share): string {
  if (share === null || score === null) return 'none counted';
  return `${percentWords(share)} (${percentRange(score)}), ${count} of ${total}`;
}

/** A rate or an amount: to one decimal, whole from 100 on. */
export function rateWords(rate: number): string {
  return rate.toFixed(rate < 99.95 ? 1 : 0);
}

/** `1 line`, `2 lines`. */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`;
}

/** First letter large, for the start of a label. */
export function capital(text: string): string {
  return text.replace(/\p{L}/u, (letter) => letter.toLocaleUpperCase('en'));
}
