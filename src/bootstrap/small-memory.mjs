// How Node is asked to give memory back in a process that runs for weeks: by itself it keeps what a burst took. Measured in
// docs/bench.md; the Dockerfile says the same.
export const smallMemory = {
  /** Young objects in less room, and the heap grown by half of what it holds, not up to threefold. */
  flags: ['--max-semi-space-size=8', '--heap-growing-percent=50'],
  /** Threads share two pools of memory of the C library, not eight a core. */
  env: { MALLOC_ARENA_MAX: '2' },
};
