import { setImmediate as breathe } from 'node:timers/promises';
import { Worker } from 'node:worker_threads';
import type { MakeRecordFile } from '../app/record-file.ts';
import type { FromRecordFileWorker, ToRecordFileWorker } from './record-file-worker.ts';

/** Lines handed over at once; copying them to the thread is work of the one that answers people. */
const linesAtOnce = 20;

/**
 * The file of a ward's record, made in a thread of its own. A table gets a byte order mark: whoever opens it with a tap
 * cannot say how its names are written. Throws with the cause in words where it
 * cannot be made.
 */
export const makeRecordFile: MakeRecordFile = async (copy, format, given) => {
  const worker = new Worker(new URL('./record-file-worker.ts', import.meta.url), {
    // Nothing that the process was started with is the thread's.
    execArgv: [],
  });
  const made = new Promise<Uint8Array>((resolve, reject) => {
    worker.once('message', (answer: FromRecordFileWorker) => {
      if (answer.is === 'made') resolve(answer.bytes);
      else reject(new Error(answer.why));
    });
    worker.once('error', reject);
    worker.once('exit', (code) => reject(new Error(`the thread that makes a file ended with code ${code}`)));
  });
  // Whoever awaits it comes later; failing meanwhile is not unhandled.
  made.catch(() => undefined);
  const send = (message: ToRecordFileWorker) => worker.postMessage(message);
  const { wardId, wardEntries, lines } = copy;
  send({ is: 'ward', copy: { wardId, wardEntries } });
  for (let from = 0; from < lines.length; from += linesAtOnce) {
    send({ is: 'lines', lines: lines.slice(from, from + linesAtOnce) });
    await breathe();
  }
  send({ is: 'make', format, given: { ...given, bom: true } });
  return made;
};
