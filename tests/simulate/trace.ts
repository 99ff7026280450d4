/** What happened, latest last. Lines are kept as parts and written out only when somebody reads them. */
export class Trace {
  private readonly kept: (readonly [number, string, string])[] = [];
  private taken = 0;
  private readonly most: number;

  constructor(most = 4_000) {
    this.most = most;
  }

  add(now: number, who: string, what: string): void {
    this.kept[this.taken % this.most] = [now, who, what];
    this.taken += 1;
  }

  /** The last `count` lines. */
  last(count = this.most): string[] {
    const from = Math.max(0, this.taken - Math.min(count, this.most));
    const lines: string[] = [];
    for (let index = from; index < this.taken; index++) {
      const [now, who, what] = this.kept[index % this.most] ?? [0, '', ''];
      lines.push(`${new Date(now).toISOString().slice(5, 23)}  ${who.padEnd(9)} ${what}`);
    }
    return lines;
  }

  get length(): number {
    return this.taken;
  }
}
