import type { WardSheet } from '../wording/handover/handover-sheet.ts';
import type { PaperPage } from './a4-page.ts';

/** Makes a page as a PDF at `nowMs` without holding anybody up; throws where it cannot be made. */
export type MakePaper = (page: PaperPage | WardSheet, nowMs: number) => Promise<Uint8Array>;
