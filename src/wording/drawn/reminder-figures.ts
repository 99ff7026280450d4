import type { AlertBurden } from '../../domain/audit/alert-burden.ts';
import { dutyKinds } from '../../domain/duty-kind.ts';
import { altTextOf } from './alt-text.ts';
import { dutyLabels } from './audit-labels.ts';
import { capital, counted, rateWords } from './figure-words.ts';
import type { FigureRow, FigureWords } from './sheet-words.ts';

/** The duties named most; the others are few, and recorded in words. */
const rowsShown = 10;

/** What reminders cost those who read them; null where none was sent. */
export function reminderFigures(alerts: AlertBurden): FigureWords | null {
  const named = dutyKinds
    .flatMap((kind) => {
      const times = alerts.byDuty[kind];
      return times ? [{ kind, times }] : [];
    })
    .toSorted((a, b) => b.times - a.times);
  if (named.length === 0) return null;
  const rows: FigureRow[] = named.slice(0, rowsShown).map(({ kind, times }) => ({
    label: capital(dutyLabels[kind]),
    says: String(times),
    value: times,
    interval: null,
  }));
  const said = ({ kind, times }: (typeof named)[number]) => `${dutyLabels[kind]} ${times}`;
  const fewer = named.slice(rowsShown).map(said);
  const { nudges, toNurse, toClinician, toNobody } = alerts.messages;
  const lead = [
    `In the channel: ${nudges} in ${counted(alerts.nudgesPerShift.values, 'shift')} with a line or a reminder. ${perShift(alerts.nudgesPerShift)}.`,
    toNurse + toClinician + toNobody === 0
      ? 'None went on to the nurse or the clinician.'
      : `Went on: ${toNurse} to the nurse, ${toClinician} to the clinician${toNobody > 0 ? `, ${toNobody} cried out in the channel` : ''}. ${perShift(alerts.escalationsPerShift)}.`,
    ...(alerts.nudgesPerLineDay === null
      ? []
      : [
          `${rateWords(alerts.nudgesPerLineDay)} reminders name a line for each day it is in${alerts.tooFewDays ? ': too few line-days to mean much' : ''}.`,
        ]),
  ];
  const title = 'What reminders cost';
  return {
    fileName: 'reminders.png',
    title,
    lead: [...lead, 'Bars: how often a duty was named, to anybody.'],
    rows,
    foot: [
      ...(fewer.length > 0 ? [`Named less often: ${fewer.join(', ')}.`] : []),
      ...(alerts.nudgesPerShift.tooFew ? ['So few shifts say little of the next ones.'] : []),
    ],
    altText: altTextOf(`${title}. ${lead.join(' ')} How often a duty was named`, named.map(said)),
  };
}

function perShift({ median, lowerQuartile, upperQuartile, most }: AlertBurden['nudgesPerShift']): string {
  const [middle = 0, lower = 0, upper = 0, top = 0] = [median, lowerQuartile, upperQuartile, most].map(
    (value) => Number((value ?? 0).toFixed(1)),
  );
  return `A shift: median ${middle}, quartiles ${lower} and ${upper}, most ${top}`;
}
