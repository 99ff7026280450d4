import type { PressureStrip } from '../../domain/strip/pressure-strip.ts';
import type { ReadStrip } from '../../domain/strip/strip-findings.ts';
import { stripSentence } from '../../domain/strip/strip-sentence.ts';
import { drawn } from '../drawn.ts';
import { pictureTitle, stripSvg } from './strip-svg.ts';

/** A strip's picture and the words for who cannot see it. */
export interface StripPicture {
  pngBytes: Uint8Array;
  widthPx: number;
  heightPx: number;
  altText: string;
}

/** The picture in words: what it shows, the findings, and the verdict with its reason. */
export function stripAltText({ findings, beats, flushes }: ReadStrip): string {
  const shows = [
    'the whole strip',
    ...(beats.length > 0 ? ['some beats with systolic peaks and beginnings marked'] : []),
    ...(flushes.length > 0 ? ['the trace after the fast flush with the turns of its ringing marked'] : []),
  ];
  return `Picture of an arterial pressure strip: ${shows.join(', ')}. ${pictureTitle(findings)}. ${stripSentence(findings)} ${findings.because}`;
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
