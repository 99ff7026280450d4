import { EventQueue } from '../../src/invented/event-queue.ts';

const mostAtOnce = 100_000;

/** Time that passes only from one event to the next, ms since the epoch. Nothing here ever asks the machine's clock. */
export class VirtualTime {
  now: number;
  private readonly queue = new EventQueue();
  private stopped = false;

  constructor(startMs: number) {
    this.now = startMs;
  }

  after(ms: number, act: () => void): void {
    this.queue.add(this.now + Math.max(0, ms), act);
  }

  at(atMs: number, act: () => void): void {
    this.queue.add(Math.max(this.now, atMs), act);
  }

  /** No further event is taken. */
  stop(): void {
    this.stopped = true;
  }

  /** Takes the events up to `untilMs` in the order of their instants; between two of them every promise that was kept goes on. */
  async run(untilMs: number): Promise<void> {
    await promisesGoOn();
    let atOnce = 0;
    while (!this.stopped && this.queue.nextAt() <= untilMs) {
      atOnce = this.queue.nextAt() > this.now ? 0 : atOnce + 1;
      if (atOnce > mostAtOnce)
        throw new Error(`${mostAtOnce} things happened at one instant: something never ends`);
      this.now = this.queue.nextAt();
      this.queue.take()?.();
      await promisesGoOn();
    }
    if (!this.stopped) this.now = Math.max(this.now, untilMs);
  }
}

/** A turn of the event loop begins only when no promise has anything left to do. */
function promisesGoOn(): Promise<void> {
  return new Promise((resolve) => setImmediate(resolve));
}
