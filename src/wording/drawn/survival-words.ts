import type { LinesInNumbers } from '../../domain/audit/lines-in-numbers.ts';
import { fewest } from '../../domain/audit/too-few.ts';
import type { Species } from '../../domain/patient/species.ts';
import { survivalAt } from '../../domain/statistics/kaplan-meier.ts';
import { hourMs } from '../../domain/time.ts';
import { altTextOf } from './alt-text.ts';
import { animals } from './audit-labels.ts';
import { capital, counted, percentRange, percentWords } from './figure-words.ts';
import type { SheetWords } from './sheet-words.ts';

type Curve = LinesInNumbers['timeToFailure'];

/** `24 h`. */
export const hoursText = (ms: number) => `${Math.round(ms / hourMs)} h`;

/** `31 lines, 4 failed`. */
export const failedText = (curve: Curve) => `${counted(curve.subjects, 'line')}, ${curve.failures} failed`;

/** Over the curves of all species. */
export const sideBySide = (untilMs: number) => `Side by side, the first ${hoursText(untilMs)}`;

/** Before the lines left at each hour. */
export const leftLabel = 'left';

/** A species whose lines are too few for a curve. */
export const fewText = ({ species, curve }: { species: Species; curve: Curve }) =>
  `${capital(animals[species])}: ${failedText(curve)}: too few for a curve`;

/** The share not failed, with its band, at a round time late in the curve. */
function landmarkWords(curve: Curve, at: number): string {
  const { survival, band } = survivalAt(curve, at);
  const range = band ? ` (${percentRange(band)})` : '';
  return `${percentWords(survival)}${range} not failed at ${hoursText(at)}${survival === 1 ? ' (none had failed, so no band)' : ''}`;
}

/** How long lines lasted until they failed, in words: of each curve that can be read, and of those that are too few. */
export function survivalWords(
  readable: readonly { species: Species; curve: Curve; landmarkMs: number }[],
  few: readonly string[],
): SheetWords {
  const title = 'How long lines lasted';
  const some = readable.length > 0;
  return {
    fileName: 'how-long-lines-lasted.png',
    title,
    lead: some ? ['Share of lines not failed, by hours in, with its 95 % band.'] : [],
    foot: some
      ? [
          'Strokes: lines out for another reason, or still in. They count until then.',
          `A curve ends where fewer than ${fewest.atRisk} lines are left.`,
          'Before its first failure it has no band: that is no certainty.',
        ]
      : [],
    altText: altTextOf(
      some ? `${title}, as Kaplan-Meier curves with 95 % bands` : title,
      [
        ...readable.map(
          ({ species, curve, landmarkMs }) =>
            `${animals[species]}: ${failedText(curve)}, ${landmarkWords(curve, landmarkMs)}`,
        ),
        ...few,
      ],
      some ? ['Lines that came out for another reason, or are still in, count until then.'] : [],
    ),
  };
}
