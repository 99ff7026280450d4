import type { UploadedFile } from '../domain/strip/parse-strip-files.ts';
import type { PressureStrip } from '../domain/strip/pressure-strip.ts';
import type { ReadStrip } from '../domain/strip/strip-findings.ts';
import type { Drawing } from './files.ts';

/** Uploaded strips, as the listeners need them. */
export interface Strips {
  /** The bytes of uploaded files, or a sentence on why they cannot be had. */
  fetch(fileIds: readonly string[]): Promise<{ files: UploadedFile[] } | { problem: string }>;
  draw(strip: PressureStrip, read: ReadStrip): Promise<Drawing>;
}
