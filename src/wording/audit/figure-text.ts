import type { Share } from '../../domain/audit/share.ts';
import type { Interval } from '../../domain/statistics/interval.ts';
import { minuteMs } from '../../domain/time.ts';

/** Said beside every figure that is. */
export const tooFewWords = 'too few to mean anything';

/** `1,204`. */
export function whole(count: number): string {
  return count.toLocaleString('en');
}

/** `1 line`, `2 lines`, `1,204 lines`. */
export function counted(count: number, one: string, several = `${one}s`): string {
  return `${whole(count)} ${count === 1 ? one : several}`;
}

/** `12.3`: one place; two below 1, whole from 100 on; never nought for what is more. */
export function decimal(value: number): string {
  if (value > 0 && value < 0.005) return 'under 0.01';
  if (value > 0 && value < 1) return value.toFixed(2);
  return value >= 100 ? whole(Math.round(value)) : value.toFixed(1);
}

/** `30.8 %`. */
export function percentText(share: number): string {
  return `${(100 * share).toFixed(1)} %`;
}

/** `25.5 to 36.6 %`. */
export function intervalText({ lower, upper }: Interval): string {
  return `${(100 * lower).toFixed(1)} to ${(100 * upper).toFixed(1)} %`;
}

/** `81 of 263, 30.8 % (25.5 to 36.6 %)`; of nothing, `0 of 0`. Whoever shows it says where it is too few. */
export function sharePlain({ count, total, share, score }: Share): string {
  const of = `${whole(count)} of ${whole(total)}`;
  return share === null || score === null ? of : `${of}, ${percentText(share)} (${intervalText(score)})`;
}

/** A share, and that it is too few to mean anything where it is. */
export function shareText(share: Share): string {
  return `${sharePlain(share)}${share.tooFew && share.total > 0 ? `; ${tooFewWords}` : ''}`;
}

/** `45 min`, `7.5 h`, `4.2 days`: one unit; never nought for what is more. */
export function durationText(ms: number): string {
  const minutes = ms / minuteMs;
  if (minutes > 0 && minutes < 0.5) return 'under 1 min';
  if (minutes < 119.5) return `${Math.round(minutes)} min`;
  const hours = minutes / 60;
  return hours < 72 ? `${tidy(hours)} h` : `${tidy(hours / 24)} days`;
}

/** One place, or none where it is a whole number. */
function tidy(value: number): string {
  return value.toFixed(1).replace(/\.0$/, '');
}

/** `dorsal pedal 30, radial 2`: most first. */
export function countsText(counts: Partial<Record<string, number>>): string {
  return Object.entries(counts)
    .flatMap(([name, count]) => (count === undefined || count === 0 ? [] : [{ name, count }]))
    .toSorted((a, b) => b.count - a.count)
    .map(({ name, count }) => `${name} ${whole(count)}`)
    .join(', ');
}
