// The process that makes files, as `files.ts` asks for them.
import { a4Pdf } from '../paper/a4-page.ts';
import { wardSheetPdf } from '../paper/ward-sheet.ts';
import { pngOf } from '../pictures/drawn.ts';
import { workForParent } from './child-work.ts';
import type { FileTask } from './files.ts';

workForParent<FileTask>(async (task) => {
  if (task.what === 'picture') return pngOf(task.svg);
  const { page, nowMs } = task;
  return 'grid' in page ? wardSheetPdf(page, nowMs) : a4Pdf(page, nowMs);
});
