import type { BeatFindings } from '../../domain/strip/beat-findings.ts';
import type { ReadStrip, StripFindings } from '../../domain/strip/strip-findings.ts';
import { stripSentence } from './strip-sentence.ts';
import { reasonText } from './verdict-reasons.ts';

/** In the drawing of a strip. */
export const stripLabels = {
  whole: 'Whole strip',
  flush: 'flush',
  beats: 'Beats',
  peak: 'systolic peak',
  foot: 'beat begins',
  afterFlush: 'After the flush',
  turns: 'turns of the ringing',
  caution: 'A reading aid, not a monitor: look at the animal first.',
} as const;

const titles = {
  normal: 'Line looks normal',
  'flat (overdamped)': 'Line looks flat (overdamped)',
  'spiky (underdamped)': 'Line looks spiky (underdamped)',
  'too slow for this heart rate': 'Line is too slow for this heart rate',
  'cannot tell': 'Cannot tell whether the line is true',
} as const;

/** The picture's title: the verdict with how sure it is, or that nothing could be read. */
export function pictureTitle({ verdict, confidence, faults }: StripFindings): string {
  const hiding = faults.find(({ hides }) => hides === 'beats');
  if (hiding !== undefined) return `Cannot be read: ${hiding.fault}`;
  if (faults.length > 0) return `Unsure: ${faults.map(({ fault }) => fault).join(', ')}`;
  return verdict === 'cannot tell' ? titles[verdict] : `${titles[verdict]}: ${confidence}`;
}

/** `121/76 mmHg, mean 92 mmHg; 120 /min, regular`. */
export function beatsText(
  { sapMmHg, dapMmHg, mapMmHg, ratePerMin, rhythm }: BeatFindings,
  isDoubtful: boolean,
): string {
  const pressures = `${Math.round(sapMmHg)}/${Math.round(dapMmHg)} mmHg, mean ${Math.round(mapMmHg)} mmHg`;
  return `${isDoubtful ? 'About ' : ''}${pressures}; ${Math.round(ratePerMin)} /min, ${rhythm}`;
}

/** What the trace after a fast flush came to. */
export function flushTestText(test: StripFindings['flushes'][number]['test']): string {
  if (test.measured === 'ringing')
    return `Rings at ${test.ringingHz.toFixed(1)} Hz, damping ${test.damping.value.toFixed(2)}`;
  return test.measured === 'no ringing'
    ? `No ringing, damping about ${test.dampingAtLeast.toFixed(1)} or more`
    : `Cannot be measured: ${test.because}`;
}

/** The picture in words: what it shows, the findings, and the verdict with its reason. */
export function stripAltText({ findings, beats, flushes }: ReadStrip): string {
  const shows = [
    'the whole strip',
    ...(beats.length > 0 ? ['some beats with systolic peaks and beginnings marked'] : []),
    ...(flushes.length > 0 ? ['the trace after the fast flush with the turns of its ringing marked'] : []),
  ];
  return `Picture of an arterial pressure strip: ${shows.join(', ')}. ${pictureTitle(findings)}. ${stripSentence(findings)} ${reasonText(findings.because)}`;
}
