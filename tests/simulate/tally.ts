/** What a simulation came to. */
export class Tally {
  /** Days of simulated time, of installations with one or two wards each. */
  days = 0;
  /** How late the ladder took a step, ms. */
  readonly toldLateMs: number[] = [];
  /** From the change that asked for a message to the message, ms. */
  readonly shownAfterMs: number[] = [];
  private readonly counts = new Map<string, number>();

  add(name: string, count = 1): void {
    this.counts.set(name, (this.counts.get(name) ?? 0) + count);
  }

  /** The most that anything was. */
  most(name: string, count: number): void {
    this.counts.set(name, Math.max(this.counts.get(name) ?? 0, count));
  }

  count(name: string): number {
    return this.counts.get(name) ?? 0;
  }

  all(): [string, number][] {
    return [...this.counts].toSorted(([a], [b]) => (a < b ? -1 : 1));
  }
}
