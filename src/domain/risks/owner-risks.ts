import { type Share, shareOf } from '../audit/share.ts';
import type { WardAudit } from '../audit/ward-audit.ts';
import type { Species } from '../patient/species.ts';
import { type Publication, publishedCounts, type RiskKind } from './published-series.ts';

/** One share of lines with where it is from; it never goes without its denominator. */
export interface Risk {
  kind: RiskKind;
  share: Share;
  /** Lines of which nobody recorded it; they are in no share. */
  notReported: number;
  from: 'ward' | Publication;
}

/**
 * The ward's own lines speak from this many on; below it, what is published does. Own rule, no source. With none in 50 the exact
 * interval reaches up to 7.1 %: that is as far as telling the ward's own lines from the published 6.6 % that came out for a
 * complication. With fewer, the ward's luck would be stated as its risk.
 */
export const fewestOwnLines = 50;

/** The ward's own lines are those of so many months: long enough to count, short enough to be what the ward does now. Own rule. */
export const ownMonths = 24;

/**
 * What may happen to a line in this species and how often, each figure from the ward's own record where that has enough lines
 * for it, else as published; in the order to be said. Empty where there is neither, and for other animals: they are too many
 * kinds to be counted together. `audit` null: the ward's record could not be counted.
 *
 * Example: no own lines, dog → a problem in 38 of 198 lines, 19.2 % (14.3 to 25.2), Hagley et al. 2021.
 */
export function ownerRisks(species: Species, audit: WardAudit | null): Risk[] {
  if (species === 'other') return [];
  const own = audit === null ? [] : ownRisks(species, audit);
  const published = (publishedCounts[species] ?? []).map(
    ({ kind, count, total, notReported = 0, publication }): Risk => ({
      kind,
      share: shareOf(count, total),
      notReported,
      from: publication,
    }),
  );
  const order: readonly RiskKind[] = [
    'problem',
    'removed for a problem',
    'no pulse next day',
    'serious harm',
    'placed at the first try',
    'placed at all',
  ];
  const risks = order.flatMap((kind) => {
    const is = (risk: Risk) => risk.kind === kind;
    return own.find(is) ?? published.find(is) ?? [];
  });
  // Of placing one figure is enough, the ward's own where there is one.
  const isFirst = risks.some(({ kind }) => kind === 'placed at the first try');
  return risks.filter(({ kind }) => !(isFirst && kind === 'placed at all'));
}

/** The figures for which the ward has lines enough. */
function ownRisks(species: Species, { lines, firstAttempts }: WardAudit): Risk[] {
  const theirs = lines.bySpecies[species]?.complications;
  const nextDay = lines.pulseBySpecies[species]?.nextDay;
  const first = firstAttempts.bySpecies[species];
  const all: Risk[] = [
    ...(theirs
      ? ([
          { kind: 'problem', share: theirs.linesWithOne, notReported: 0, from: 'ward' },
          { kind: 'removed for a problem', share: theirs.removedForOne, notReported: 0, from: 'ward' },
        ] as const)
      : []),
    ...(nextDay
      ? ([
          {
            kind: 'no pulse next day',
            share: nextDay.absent,
            notReported: nextDay.notChecked + nextDay.found['cannot tell'],
            from: 'ward',
          },
        ] as const)
      : []),
    ...(first
      ? ([{ kind: 'placed at the first try', share: first, notReported: 0, from: 'ward' }] as const)
      : []),
  ];
  return all.filter(({ share }) => share.total >= fewestOwnLines);
}
