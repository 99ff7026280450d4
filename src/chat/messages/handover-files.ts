import type { HandoverFile } from '../../app/handover-posts.ts';
import type { ShiftHandover } from '../../domain/handover/shift-handover.ts';
import { wallClockWithDay } from '../../domain/shifts/wall-clock.ts';
import type { MakePaper } from '../../paper/make-paper.ts';
import { shiftTitle } from '../../wording/drawn/shift-words.ts';
import { handoverTitle } from '../../wording/handover/handover-head.ts';
import { handoverSheet } from '../../wording/handover/handover-sheet.ts';
import type { Names } from '../../wording/names.ts';
import type { Drawing, SharedFile } from '../files.ts';

/** Makes what a handover brings with it, where it holds nobody up. */
export interface HandoverFiles {
  picture(handover: ShiftHandover): Promise<Drawing>;
  paper: MakePaper;
}

/** How a file of a handover is called: by it, one that may stand already is found in the thread. */
export function handoverFileName(what: HandoverFile, { ward, atMs }: ShiftHandover): string {
  const at = wallClockWithDay(ward.policy.shifts.zone, atMs)
    .toLowerCase()
    .replaceAll(/[^a-z0-9]+/g, '-');
  return what === 'picture' ? `shift-to-${at}.png` : `handover-${at}.pdf`;
}

/** A file of a handover and its title. */
export async function handoverFile(
  what: HandoverFile,
  handover: ShiftHandover,
  names: Names,
  files: HandoverFiles,
): Promise<SharedFile & { title: string }> {
  const name = handoverFileName(what, handover);
  if (what === 'picture') {
    const { pngBytes, altText } = await files.picture(handover);
    return { name, title: shiftTitle, bytes: pngBytes, altText };
  }
  const sheet = await handoverSheet(handover, names);
  const bytes = await files.paper(sheet, handover.atMs);
  return { name, title: `${handoverTitle(handover)}: to print`, bytes };
}
