import { parentPort, workerData } from 'node:worker_threads';
import { a4Pdf, type PaperPage } from './a4-page.ts';

/** What the thread is told to make. */
export interface PaperTask {
  page: PaperPage;
  nowMs: number;
}

const { page, nowMs } = workerData as PaperTask;
const bytes = await a4Pdf(page, nowMs);
parentPort?.postMessage(bytes, [bytes.buffer as ArrayBuffer]);
