// A process that does as it's told, for the tests of work in a process of its own.
import os from 'node:os';
import { workForParent } from '../../src/files/child-work.ts';

/** What it may be told. */
export type Told = 'who' | 'fail' | 'die' | 'hang';

workForParent<Told>(async (told) => {
  if (told === 'die') process.kill(process.pid, 'SIGSEGV');
  if (told === 'fail') throw new Error('the font is missing');
  if (told !== 'who') await new Promise(() => undefined);
  return { pid: process.pid, rank: os.getPriority(), bytes: new Uint8Array([1, 2]) };
});
