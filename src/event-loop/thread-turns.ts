import os from 'node:os';
import { isMainThread } from 'node:worker_threads';
import type { Turns } from '../app/pace.ts';

/** The turns of this thread's own event loop. */
export const turnsOfThread: Turns = {
  nowMs: () => performance.now(),
  nextTurn: (then) => void setImmediate(then),
  soon: (then) => queueMicrotask(() => process.nextTick(then)),
  after: (ms, then) => void setTimeout(then, ms),
};

/** How far behind others a thread stands that nobody waits for, in steps of the system (0 usual, 19 last). */
const behindBy = 10;

/**
 * Lets this thread stand behind the others of the machine: what it makes is good to have and takes long. Only Linux ranks a
 * thread by itself; elsewhere, and in the main thread, nothing is changed.
 */
export function standBehind(): void {
  if (isMainThread || process.platform !== 'linux') return;
  os.setPriority(behindBy);
}
