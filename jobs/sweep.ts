/** How many sweeps pass from one that also checks every ward's wake index to the next. */
const deepEvery = 20;

export interface SweepParts {
  sweepWards: (sweep: { deep: boolean }) => Promise<void>;
  everyMs: number;
  trouble: (what: string, ids: Record<string, string | number>, cause?: unknown) => void;
}

/**
 * The sweep: a plain timer in every worker process, on nothing but the record. It begins at once, and deeply, since a
 * start may follow any loss. One at a time: a slow one is not overtaken.
 */
export function startSweep({ sweepWards, everyMs, trouble }: SweepParts): { stop(): Promise<void> } {
  let count = 0;
  let running: Promise<void> | null = null;
  const run = () => {
    if (running) return;
    const deep = count++ % deepEvery === 0;
    running = sweepWards({ deep })
      .catch((cause: unknown) => trouble('a sweep failed; the next one tries again', {}, cause))
      .finally(() => {
        running = null;
      });
  };
  run();
  const timer = setInterval(run, everyMs);
  return {
    async stop() {
      clearInterval(timer);
      await running;
    },
  };
}
