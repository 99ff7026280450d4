/** An interval about an estimate; both ends belong to it. */
export interface Interval {
  lower: number;
  upper: number;
}

/** Two-sided, where nothing else is asked for. */
export const usualLevel = 0.95;

/** Throws a RangeError unless `count` of `total` is a share: whole numbers, total ≥ 1, 0 ≤ count ≤ total. */
export function assertShare(count: number, total: number): void {
  if (!Number.isInteger(count) || !Number.isInteger(total) || total < 1 || count < 0 || count > total)
    throw new RangeError(
      `A share of ${count} out of ${total} was asked for; 0 to the total, of 1 or more, in whole numbers is allowed.`,
    );
}

/** Throws a RangeError unless 0 < level < 1. */
export function assertLevel(level: number): void {
  if (!(level > 0 && level < 1))
    throw new RangeError(`An interval's level was ${level}; 0 < level < 1 is allowed.`);
}
