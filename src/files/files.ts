import type { ShiftHandover } from '../domain/handover/shift-handover.ts';
import type { PressureStrip } from '../domain/strip/pressure-strip.ts';
import type { ReadStrip } from '../domain/strip/strip-findings.ts';
import type { MakePaper } from '../paper/make-paper.ts';
import type { Picture, Png } from '../pictures/picture.ts';
import * as shift from '../pictures/shift-picture.ts';
import * as strip from '../pictures/strip/strip-picture.ts';
import { childWork } from './child-work.ts';

/** What the process is told to make: a picture from its SVG, or a page. */
export type FileTask =
  | { what: 'picture'; svg: string }
  | { what: 'page'; page: Parameters<MakePaper>[0]; nowMs: number };

/** One for all of this process, started when something is to be made. */
const make = childWork<FileTask, unknown>(new URL('./files-process.ts', import.meta.url));
const draw = async (svg: string) => (await make({ what: 'picture', svg })) as Png;

/** A page as a PDF. Fonts are put together for some hundred ms, and an acknowledgement must not wait for that. */
export const makePaper: MakePaper = async (page, nowMs) =>
  (await make({ what: 'page', page, nowMs })) as Uint8Array;

/** The picture of a shift. A full ward takes some hundred ms to draw. */
export const shiftPicture = (handover: ShiftHandover): Promise<Picture> => shift.shiftPicture(handover, draw);

/** The picture of a read strip. */
export const stripPicture = (of: PressureStrip, read: ReadStrip): Promise<strip.StripPicture> =>
  strip.stripPicture(of, read, draw);
