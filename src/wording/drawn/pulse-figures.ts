import type { PulseAfterRemoval, PulseLook } from '../../domain/audit/pulse-after-removal.ts';
import { fewest } from '../../domain/audit/too-few.ts';
import { altTextOf } from './alt-text.ts';
import { counted, shareWords } from './figure-words.ts';
import type { FigureRow, FigureWords } from './sheet-words.ts';

/** What the two looks at the pulse after removal found; null where no limb was to be followed up. */
export function pulseFigures({ removed, followedUp, first, nextDay }: PulseAfterRemoval): FigureWords | null {
  if (followedUp === 0) return null;
  const looks: [string, PulseLook][] = [
    ['first check', first],
    ['next day', nextDay],
  ];
  const rows = looks.map(
    ([name, { absent }]): FigureRow => ({
      label: `Absent, ${name}`,
      says: shareWords(absent),
      value: absent.share === null ? null : 100 * absent.share,
      interval: absent.score && { lower: 100 * absent.score.lower, upper: 100 * absent.score.upper },
      isWeak: absent.tooFew && absent.total > 0,
    }),
  );
  const counts = looks.map(([name, look]) => `${name}: ${foundWords(look)}`);
  const title = 'Pulse after removal';
  const shown = `${counted(removed, 'line')} came out, ${followedUp} of them to be followed up.`;
  return {
    fileName: 'pulse-after-removal.png',
    title,
    lead: [shown, ...counts.map((text) => `${text.charAt(0).toUpperCase()}${text.slice(1)}.`)],
    rows,
    foot: [
      'Bar: 95 % interval (Wilson), of pulses recorded as present, weak or absent.',
      ...(rows.some(({ isWeak }) => isWeak)
        ? [`Open dot: fewer than ${fewest.ofShare}, too few to mean much.`]
        : []),
    ],
    altText: altTextOf(
      `${title}. ${shown} Share absent with 95 % interval, of the pulses recorded as present, weak or absent`,
      [
        ...rows.map(
          ({ label, says, isWeak }) =>
            `${label.toLowerCase()} ${says}${isWeak ? ', too few to mean much' : ''}`,
        ),
        ...counts,
      ],
    ),
  };
}

function foundWords({ found, notChecked, notYet }: PulseLook): string {
  return [
    `present ${found.present}`,
    `weak ${found.weak}`,
    `absent ${found.absent}`,
    ...(found['cannot tell'] > 0 ? [`couldn’t tell ${found['cannot tell']}`] : []),
    ...(notChecked > 0 ? [`not checked ${notChecked}`] : []),
    ...(notYet > 0 ? [`not due yet ${notYet}`] : []),
  ].join(', ');
}
