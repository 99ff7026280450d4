import { Worker } from 'node:worker_threads';
import type { WardSheet } from '../wording/handover/handover-sheet.ts';
import type { PaperPage } from './a4-page.ts';
import type { PaperTask } from './paper-worker.ts';

/** Makes a page as a PDF at `nowMs` without holding anybody up; throws where it cannot be made. */
export type MakePaper = (page: PaperPage | WardSheet, nowMs: number) => Promise<Uint8Array>;

/** In a thread of its own: fonts are put together for some hundred ms, and an acknowledgement must not wait for that. */
export const makePaper: MakePaper = (page, nowMs) => {
  const task: PaperTask = { page, nowMs };
  const worker = new Worker(new URL('./paper-worker.ts', import.meta.url), {
    workerData: task,
    execArgv: [],
  });
  return new Promise<Uint8Array>((resolve, reject) => {
    worker.once('message', resolve);
    worker.once('error', reject);
    worker.once('exit', (code) => reject(new Error(`the thread that makes a page ended with code ${code}`)));
  });
};
