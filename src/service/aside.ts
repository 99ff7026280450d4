/** Work that runs beside what asks for it. */
export interface Aside {
  start(): void;
  /** Resolves when none of it runs. */
  done(): Promise<void>;
}

/** Work that runs once at a time; asked for while it runs, it is not begun again. */
export function aside(work: () => Promise<void>, failed: (cause: unknown) => void): Aside {
  let running: Promise<void> | null = null;
  return {
    start() {
      running ??= work()
        .catch(failed)
        .finally(() => {
          running = null;
        });
    },
    done: async () => running ?? undefined,
  };
}

/**
 * Work that many things ask for: run at once when asked, and once more for all that asked meanwhile, no sooner than `gapMs`
 * (real time) after it began.
 */
export function coalesced(work: () => Promise<void>, gapMs: number, failed: (cause: unknown) => void): Aside {
  let running: Promise<void> | null = null;
  let isAsked = false;
  const run = async () => {
    while (isAsked) {
      isAsked = false;
      const gap = new Promise<void>((resolve) => setTimeout(resolve, gapMs).unref());
      await work().catch(failed);
      if (isAsked) await gap;
    }
    running = null;
  };
  return {
    start() {
      isAsked = true;
      running ??= run();
    },
    done: async () => running ?? undefined,
  };
}

/** Work that others begin and nobody waits for but an end. */
export interface WorkBeside {
  goOn: (work: Promise<void>) => void;
  /** Resolves when all that was begun before is over. */
  done(): Promise<void>;
}

export function workBeside(): WorkBeside {
  const running = new Set<Promise<void>>();
  return {
    goOn(work) {
      running.add(work);
      void work.finally(() => running.delete(work));
    },
    async done() {
      await Promise.all(running);
    },
  };
}
