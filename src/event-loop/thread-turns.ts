import type { Turns } from '../app/pace.ts';

/** The turns of this thread's own event loop. */
export const turnsOfThread: Turns = {
  nowMs: () => performance.now(),
  nextTurn: (then) => void setImmediate(then),
  soon: (then) => queueMicrotask(() => process.nextTick(then)),
  after: (ms, then) => void setTimeout(then, ms),
};
