/** Things to be done at instants, ms: the earliest first, and of one instant in the order they were put. */
export class EventQueue {
  private readonly heap: { at: number; number: number; act: () => void }[] = [];
  private put = 0;

  add(at: number, act: () => void): void {
    const { heap } = this;
    const event = { at, number: this.put++, act };
    let index = heap.length;
    heap.push(event);
    while (index > 0) {
      const above = (index - 1) >> 1;
      const parent = heap[above];
      if (!parent || !isBefore(event, parent)) break;
      heap[index] = parent;
      index = above;
    }
    heap[index] = event;
  }

  nextAt(): number {
    return this.heap[0]?.at ?? Number.POSITIVE_INFINITY;
  }

  take(): (() => void) | null {
    const { heap } = this;
    const first = heap[0];
    const last = heap.pop();
    if (!first || !last) return null;
    if (heap.length === 0) return first.act;
    let index = 0;
    for (;;) {
      const [left, right] = [heap[2 * index + 1], heap[2 * index + 2]];
      if (!left) break;
      const isRight = right !== undefined && isBefore(right, left);
      const child = isRight ? right : left;
      if (!isBefore(child, last)) break;
      heap[index] = child;
      index = 2 * index + (isRight ? 2 : 1);
    }
    heap[index] = last;
    return first.act;
  }
}

function isBefore(a: { at: number; number: number }, b: { at: number; number: number }): boolean {
  return a.at < b.at || (a.at === b.at && a.number < b.number);
}
