import { Worker } from 'node:worker_threads';
import type { ShiftHandover } from '../domain/handover/shift-handover.ts';
import { type Picture, sheetSvg } from './picture.ts';
import { shiftSheet } from './shift-sheet.ts';

/**
 * The picture of a shift as PNG, 1080 px wide, with its words. Drawn in a thread of its own: a full ward takes some hundred ms,
 * and an acknowledgement must not wait for that. Throws where it cannot be drawn.
 */
export async function shiftPicture(handover: ShiftHandover): Promise<Picture> {
  const sheet = shiftSheet(handover);
  const { fileName, title, altText } = sheet;
  const worker = new Worker(new URL('./picture-worker.ts', import.meta.url), {
    workerData: { svg: sheetSvg(sheet).svg },
    execArgv: [],
  });
  const drawn = await new Promise<Pick<Picture, 'pngBytes' | 'widthPx' | 'heightPx'>>((resolve, reject) => {
    worker.once('message', resolve);
    worker.once('error', reject);
    worker.once('exit', (code) => reject(new Error(`the thread that draws a shift ended with code ${code}`)));
  });
  return { fileName, title, altText, ...drawn };
}
