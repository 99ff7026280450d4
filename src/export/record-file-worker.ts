import { parentPort } from 'node:worker_threads';
import type { RecordFormat } from '../app/record-file.ts';
import type { LineCopy, WardCopy } from '../app/ward-copy.ts';
import { inLargerBytes, type RecordTextGiven, recordText } from './record-text.ts';

/** What the thread is sent: the ward's own log, then its lines piece by piece, then the word to begin. */
export type ToRecordFileWorker =
  | { is: 'ward'; copy: Pick<WardCopy, 'wardId' | 'wardEntries'> }
  | { is: 'lines'; lines: LineCopy[] }
  | { is: 'make'; format: RecordFormat; given: RecordTextGiven };

/** What it answers with, once. An error's own words may be lost between threads, so they are sent as text. */
export type FromRecordFileWorker = { is: 'made'; bytes: Uint8Array } | { is: 'failed'; why: string };

/** Makes the file of one copy beside the thread that answers people. */
const copy: WardCopy = { wardId: '', wardEntries: [], lines: [] };

parentPort?.on('message', (message: ToRecordFileWorker) => {
  switch (message.is) {
    case 'ward':
      Object.assign(copy, message.copy);
      return;
    case 'lines':
      copy.lines.push(...message.lines);
      return;
    case 'make':
      make(message.format, message.given);
      parentPort?.close();
  }
});

function make(format: RecordFormat, given: RecordTextGiven): void {
  try {
    const pieces = [...inLargerBytes(recordText(copy, format, given))];
    const bytes = new Uint8Array(pieces.reduce((sum, { length }) => sum + length, 0));
    let at = 0;
    for (const piece of pieces) {
      bytes.set(piece, at);
      at += piece.length;
    }
    answer({ is: 'made', bytes }, bytes.buffer);
  } catch (error) {
    answer({ is: 'failed', why: error instanceof Error ? error.message : String(error) });
  }
}

function answer(message: FromRecordFileWorker, ...moved: ArrayBuffer[]): void {
  parentPort?.postMessage(message, moved);
}
