import type { LinesAudit } from '../../domain/audit/lines-audit.ts';
import { fewest } from '../../domain/audit/too-few.ts';
import { dutyKinds } from '../../domain/duty-kind.ts';
import { altTextOf } from './alt-text.ts';
import { dutyLabels } from './audit-labels.ts';
import { capital, shareWords } from './figure-words.ts';
import type { FigureRow, FigureWords } from './sheet-words.ts';

/** Care on time by duty, worst first and those too few to say last; null where nothing was asked for. */
export function careFigures({ careOnTime }: Pick<LinesAudit, 'careOnTime'>): FigureWords | null {
  const rows: FigureRow[] = dutyKinds
    .flatMap((kind) => {
      const care = kind in careOnTime ? careOnTime[kind as keyof typeof careOnTime] : undefined;
      return care && care.onTime.share !== null ? [{ kind, onTime: care.onTime }] : [];
    })
    .toSorted(
      (a, b) =>
        Number(a.onTime.tooFew) - Number(b.onTime.tooFew) || (a.onTime.share ?? 0) - (b.onTime.share ?? 0),
    )
    .map(({ kind, onTime }) => ({
      label: capital(dutyLabels[kind]),
      says: shareWords(onTime),
      value: 100 * (onTime.share ?? 0),
      interval: onTime.score && { lower: 100 * onTime.score.lower, upper: 100 * onTime.score.upper },
      isWeak: onTime.tooFew,
    }));
  if (rows.length === 0) return null;
  const firstWeak = rows.findIndex(({ isWeak }) => isWeak);
  const title = 'Care done on time';
  return {
    fileName: 'care-on-time.png',
    title,
    lead: [
      'Share done before the nurse’s grace was over, the worst first.',
      ...(firstWeak === 0 ? ['Too few of any duty to mean much.'] : []),
    ],
    rows: rows.map((row, index) => ({ ...row, beginsGroup: index === firstWeak && index > 0 })),
    foot: [
      'Bar: 95 % interval (Wilson). What a clinician let go counts only if it fell due again.',
      'What was left for long counts once.',
      ...(firstWeak >= 0 ? [`Open dot: fewer than ${fewest.ofShare}, too few to mean much.`] : []),
    ],
    altText: altTextOf(
      `${title}, share by duty with 95 % interval, the worst first`,
      rows.map(
        ({ label, says, isWeak }) =>
          `${label.toLowerCase()} ${says}${isWeak ? ', too few to mean much' : ''}`,
      ),
    ),
  };
}
