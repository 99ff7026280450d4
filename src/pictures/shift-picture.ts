import type { ShiftHandover } from '../domain/handover/shift-handover.ts';
import { type Draw, type Picture, sheetSvg } from './picture.ts';
import { shiftSheet } from './shift-sheet.ts';

/** The picture of a shift as PNG, 1080 px wide, with its words. Throws where it cannot be drawn. */
export async function shiftPicture(handover: ShiftHandover, draw: Draw): Promise<Picture> {
  const sheet = shiftSheet(handover);
  const { fileName, title, altText } = sheet;
  return { fileName, title, altText, ...(await draw(sheetSvg(sheet).svg)) };
}
