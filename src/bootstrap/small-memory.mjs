// How Node is asked to give memory back in a process that runs for weeks: by itself it keeps what a burst took. Measured in
// docs/bench.md; the Dockerfile says the same.
export const smallMemory = {
  /**
   * Each whole collection gives back to the system what it freed, and seconds after one that came in a burst another follows; Node 24
   * by itself takes a process that does nothing for busy. That alone would also shrink the room for young objects and, with the heap
   * growing by half, collect too often, which costs processor. So the room is fixed, and the heap may grow to twice what it holds.
   */
  flags: [
    '--memory-saver-mode',
    '--min-semi-space-size=8',
    '--max-semi-space-size=8',
    '--heap-growing-percent=100',
  ],
  /** Threads share two pools of memory of the C library, not eight a core. */
  env: { MALLOC_ARENA_MAX: '2' },
};
