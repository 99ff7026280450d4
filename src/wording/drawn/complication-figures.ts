import type { LinesAudit } from '../../domain/audit/lines-audit.ts';
import type { LinesInNumbers } from '../../domain/audit/lines-in-numbers.ts';
import { fewest } from '../../domain/audit/too-few.ts';
import { speciesList } from '../../domain/patient/species.ts';
import { type FailureReason, failureReasons } from '../../domain/record/removal-reasons.ts';
import { poissonRateInterval } from '../../domain/statistics/poisson-rate-interval.ts';
import { altTextOf } from './alt-text.ts';
import { animals } from './audit-labels.ts';
import { capital, counted, rateWords } from './figure-words.ts';
import type { FigureRow, FigureWords } from './sheet-words.ts';

type Rated = NonNullable<LinesInNumbers['complications']['per100LineDays']>;

function rowOf(label: string, { rate, lower, upper, events, exposure, tooFew }: Rated): FigureRow {
  if (exposure < fewest.lineDaysGiven)
    return { label, says: `${events} in less than a line-day; too few`, value: null, interval: null };
  return {
    label,
    says: `${rateWords(rate)} (${rateWords(lower)} to ${rateWords(upper)}), ${events} in all${tooFew ? '; too few days' : ''}`,
    value: rate,
    interval: { lower, upper },
    isWeak: tooFew,
  };
}

/** Complications per 100 line-days: of all lines, by species and by kind; null where lines were in for less than a day in all. */
export function complicationFigures({
  all,
  bySpecies,
}: Pick<LinesAudit, 'all' | 'bySpecies'>): FigureWords | null {
  const whole = all.complications.per100LineDays;
  if (whole === null || whole.exposure < fewest.lineDaysGiven) return null;
  const species = speciesList.flatMap((one) => {
    const rate = bySpecies[one]?.complications.per100LineDays;
    return rate ? [rowOf(capital(animals[one]), rate)] : [];
  });
  const kinds = failureReasons
    .map((kind) => rowOf(capital(kind), ratedKind(kind, all, whole)))
    .toSorted((a, b) => (b.value ?? 0) - (a.value ?? 0));
  // Of too few days one rate is enough: parts of it mean even less.
  const parts = whole.tooFew ? [] : [...(species.length > 1 ? [species] : []), kinds];
  const rows: FigureRow[] = [
    rowOf('All', whole),
    ...parts.flatMap((group) => group.map((row, index) => ({ ...row, beginsGroup: index === 0 }))),
  ];
  const title = 'Complications per 100 line-days';
  const days = `${counted(all.lines, 'line')}, ${rateWords(all.lineDays)} line-days`;
  const found = failureReasons.flatMap((kind) => {
    const times = all.complications.byKind[kind];
    return whole.tooFew && times ? [`${kind} ${times}`] : [];
  });
  const lead = [
    `${days}. Each kind counts once a line.`,
    ...(found.length > 0 ? [`${capital(found.join(', '))}.`] : []),
  ];
  return {
    fileName: 'complications.png',
    title,
    lead,
    rows,
    foot: [
      'Bar: exact 95 % interval (Garwood). An arrow goes on beyond the scale.',
      ...(rows.some(({ isWeak }) => isWeak)
        ? [`Open dot: fewer than ${fewest.lineDays} line-days, too few to mean much.`]
        : []),
    ],
    altText: altTextOf(
      `${title}, with exact 95 % intervals. ${lead.join(' ')} Rates`,
      rows.map(({ label, says }) => `${label.toLowerCase()} ${says}`),
    ),
  };
}

function ratedKind(
  kind: FailureReason,
  { lineDays, complications }: LinesInNumbers,
  { tooFew }: Rated,
): Rated {
  return { ...poissonRateInterval(complications.byKind[kind] ?? 0, lineDays, { per: 100 }), tooFew };
}
