/**
 * Work by name, at most so many pieces at once, in the order they were asked for; what was begun before and goes on comes first,
 * so that it is brought to its end before the next is begun. Asked for again while it waits it is done once; asked for again
 * while it runs it is done once more.
 */
export interface FewAtOnce {
  ask(name: string): void;
  /** Whether it was asked for and isn't over yet. */
  has(name: string): boolean;
  /** What waits is not begun any more. */
  stop(): void;
}

/**
 * `work` says whether it goes on: whether it will be asked for again to be brought to its end. It must not throw. `begun` hears of
 * each piece, so that an end can wait for it; `over` hears of a name once nothing that was asked for by it is left.
 */
export function fewAtOnce(
  most: number,
  work: (name: string) => Promise<{ goesOn: boolean }>,
  begun: (piece: Promise<void>) => void = () => undefined,
  over: (name: string) => void = () => undefined,
): FewAtOnce {
  const first = new Set<string>();
  const waiting = new Set<string>();
  const running = new Set<string>();
  const goingOn = new Set<string>();
  const piece = async (name: string) => {
    const { goesOn } = await work(name);
    if (goesOn) goingOn.add(name);
    else goingOn.delete(name);
    running.delete(name);
    if (!first.has(name) && !waiting.has(name)) over(name);
    beginNext();
  };
  const beginNext = () => {
    for (const queue of [first, waiting]) {
      for (const name of queue) {
        if (running.size >= most) return;
        if (running.has(name)) continue;
        queue.delete(name);
        running.add(name);
        begun(piece(name));
      }
    }
  };
  return {
    ask(name) {
      (goingOn.has(name) ? first : waiting).add(name);
      beginNext();
    },
    has: (name) => first.has(name) || waiting.has(name) || running.has(name),
    stop() {
      first.clear();
      waiting.clear();
    },
  };
}

/** Does something for each of many, at most so many at once. The first to fail ends it; those begun are not waited for. */
export async function forEachOf<T>(
  things: Iterable<T>,
  most: number,
  work: (thing: T) => Promise<void>,
): Promise<void> {
  const left = things[Symbol.iterator]();
  const one = async () => {
    for (let next = left.next(); !next.done; next = left.next()) await work(next.value);
  };
  await Promise.all(Array.from({ length: most }, one));
}
