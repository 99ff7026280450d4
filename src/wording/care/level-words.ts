import { atHeartLevel, levelErrorMmHg } from '../../domain/level/level-error.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { offWords } from './trust-words.ts';

/**
 * What a transducer that was not level did to the pressures, in words and a small picture, never by a sign alone: how
 * far the monitor was off, and what the latest reading before it was at the level of the heart.
 */
export function levelFoundWords(line: LineState, clock: (atMs: number) => string): string {
  const cm = line.level?.belowHeartCm ?? 0;
  if (cm === 0) return '';
  const error = levelErrorMmHg(cm);
  const { reading } = line;
  const read = reading?.levelAfter?.at === line.level?.at ? reading : null;
  const right = read && atHeartLevel(read, cm);
  const mean = (mmHg: number | undefined) => (mmHg === undefined ? '' : `, mean ${mmHg}`);
  const corrected =
    read && right
      ? ` The reading of ${clock(read.at)}, ${read.sapMmHg}/${read.dapMmHg}${mean(read.mapMmHg)} mmHg, was about ${right.sapMmHg}/${right.dapMmHg}${mean(right.mapMmHg)} mmHg at the level of the heart.`
      : '';
  return `Pressures read ${offWords(error)} until now.${corrected}\n${picture(cm)}`;
}

/** The higher of heart and transducer stands above, the distance between them. */
function picture(belowHeartCm: number): string {
  const gap = `│ ${Math.abs(belowHeartCm)} cm`;
  return belowHeartCm > 0 ? `● heart\n${gap}\n■ transducer` : `■ transducer\n${gap}\n● heart`;
}
