import { parentPort, workerData } from 'node:worker_threads';
import { standBehind } from '../event-loop/thread-turns.ts';
import type { WardSheet } from '../wording/handover/handover-sheet.ts';
import { a4Pdf, type PaperPage } from './a4-page.ts';
import { wardSheetPdf } from './ward-sheet.ts';

/** What the thread is told to make. */
export interface PaperTask {
  page: PaperPage | WardSheet;
  nowMs: number;
}

standBehind();
const { page, nowMs } = workerData as PaperTask;
const bytes = 'grid' in page ? await wardSheetPdf(page, nowMs) : await a4Pdf(page, nowMs);
parentPort?.postMessage(bytes, [bytes.buffer as ArrayBuffer]);
