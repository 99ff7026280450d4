import type { PressureStrip } from '../../domain/strip/pressure-strip.ts';
import type { ReadStrip } from '../../domain/strip/strip-findings.ts';
import { stripAltText } from '../../wording/strips/strip-picture-words.ts';
import type { Draw, Png } from '../picture.ts';
import { stripSvg } from './strip-svg.ts';

/** A strip's picture and the words for who cannot see it. */
export interface StripPicture extends Png {
  altText: string;
}

/** A read strip as a PNG, 1080 px wide, with its words. The findings must be of this strip. */
export async function stripPicture(strip: PressureStrip, read: ReadStrip, draw: Draw): Promise<StripPicture> {
  return { ...(await draw(stripSvg(strip, read).svg)), altText: stripAltText(read) };
}
