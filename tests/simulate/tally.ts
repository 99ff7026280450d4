/** What the bot promises, whatever fails: each is looked at every time it's owed, and a run ends with the first that's broken. */
export const promises = {
  inTime: 'what is owed is looked at in time',
  danger: 'a danger reaches somebody who decides, or the channel',
  stands: 'a message asked for stands',
  once: 'a message stands once',
  notStale: 'what was done is asked for no more',
  kept: 'what was acknowledged is in the record',
  silence: 'when nothing was up, the ward is told so',
} as const;

/** What a simulation came to. */
export class Tally {
  /** Days of simulated time, of installations with one or two wards each. */
  days = 0;
  /** How late the ladder took a step, ms. */
  readonly toldLateMs: number[] = [];
  /** From the change that asked for a message to the message, ms. */
  readonly shownAfterMs: number[] = [];
  private readonly counts = new Map<string, number>();
  private readonly looks = new Map<keyof typeof promises, number>();

  /** A promise was owed, and is looked at. */
  looksAt(promise: keyof typeof promises): void {
    this.looks.set(promise, (this.looks.get(promise) ?? 0) + 1);
  }

  /** How often each promise was looked at. */
  allLooks(): [string, number][] {
    return Object.entries(promises).map(([name, says]) => [
      says,
      this.looks.get(name as keyof typeof promises) ?? 0,
    ]);
  }

  add(name: string, count = 1): void {
    this.counts.set(name, (this.counts.get(name) ?? 0) + count);
  }

  count(name: string): number {
    return this.counts.get(name) ?? 0;
  }

  all(): [string, number][] {
    return [...this.counts].toSorted(([a], [b]) => (a < b ? -1 : 1));
  }
}
