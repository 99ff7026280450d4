import type { AlertBurden } from '../domain/audit/alert-burden.ts';
import type { LinesAudit } from '../domain/audit/lines-audit.ts';
import { careFigures } from '../wording/drawn/care-figures.ts';
import { complicationFigures } from '../wording/drawn/complication-figures.ts';
import { pulseFigures } from '../wording/drawn/pulse-figures.ts';
import { reminderFigures } from '../wording/drawn/reminder-figures.ts';
import type { FigureRow, FigureWords } from '../wording/drawn/sheet-words.ts';
import { figureRows, type Scale } from './interval-rows.ts';
import type { Sheet } from './picture.ts';
import { niceStep } from './ticks.ts';

/** The figures drawn below each other on one scale. */
function drawnFigures(
  figures: FigureWords | null,
  scaleOf: (rows: readonly FigureRow[]) => Scale,
): Sheet | null {
  return figures && { ...figures, parts: [figureRows(figures.rows, scaleOf(figures.rows))] };
}

const percents = (): Scale => ({ most: 100, unit: ' %', step: 25 });

/** Care on time by duty, worst first and those too few to say last; null where nothing was asked for. */
export const careSheet = (audit: Pick<LinesAudit, 'careOnTime'>) =>
  drawnFigures(careFigures(audit), percents);

/** What the two looks at the pulse after removal found; null where no limb was to be followed up. */
export const pulseSheet = (pulses: LinesAudit['pulseAfterRemoval']) =>
  drawnFigures(pulseFigures(pulses), percents);

/** Complications per 100 line-days: of all lines, by species and by kind; null where lines were in for less than a day in all. */
export const complicationsSheet = (audit: Pick<LinesAudit, 'all' | 'bySpecies'>) =>
  drawnFigures(complicationFigures(audit), (rows) => ({ most: mostOf(rows), unit: '' }));

/** What reminders cost those who read them; null where none was sent. */
export const remindersSheet = (alerts: AlertBurden) =>
  drawnFigures(reminderFigures(alerts), (rows) => {
    const most = rows[0]?.value ?? 0;
    const step = niceStep(most, 5);
    return { most: Math.ceil(most / step) * step, unit: '', step };
  });

/** The scale's end: an interval of too few days would squeeze all others, and ends in an arrow. */
function mostOf(rows: readonly FigureRow[]): number {
  const firm = rows.filter(({ isWeak }) => !isWeak);
  const most = Math.max(
    ...(firm.length > 0 ? firm : rows).flatMap(({ interval }) => interval?.upper ?? []),
    1,
  );
  const step = niceStep(most, 5);
  return Math.ceil(most / step) * step;
}
