export interface SweepParts {
  sweepWards: (sweep: { deep: boolean }) => Promise<void>;
  everyMs: number;
  trouble: (what: string, ids: Record<string, string | number>, cause?: unknown) => void;
}

/**
 * The sweep: a plain timer in every worker process, on nothing but the record. It begins at once, since a start may follow any
 * loss, and checks every ward's wake index against the record each time. One at a time: a slow one is not overtaken.
 */
export function startSweep({ sweepWards, everyMs, trouble }: SweepParts): { stop(): Promise<void> } {
  let running: Promise<void> | null = null;
  const run = () => {
    if (running) return;
    running = sweepWards({ deep: true })
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
