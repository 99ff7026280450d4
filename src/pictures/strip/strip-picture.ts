import type { PressureStrip } from '../../domain/strip/pressure-strip.ts';
import type { ReadStrip } from '../../domain/strip/strip-findings.ts';
import { stripAltText } from '../../wording/strips/strip-picture-words.ts';
import { drawn } from '../drawn.ts';
import { stripSvg } from './strip-svg.ts';

/** A strip's picture and the words for who cannot see it. */
export interface StripPicture {
  pngBytes: Uint8Array;
  widthPx: number;
  heightPx: number;
  altText: string;
}

/** A read strip as a PNG, 1080 px wide, with its words. The findings must be of this strip. */
export function stripPicture(strip: PressureStrip, read: ReadStrip): StripPicture {
  const image = drawn(stripSvg(strip, read).svg);
  return {
    pngBytes: image.asPng(),
    widthPx: image.width,
    heightPx: image.height,
    altText: stripAltText(read),
  };
}
