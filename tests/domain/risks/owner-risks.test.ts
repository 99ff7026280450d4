import { describe, expect, it } from 'vitest';
import { wardAudit } from '../../../src/domain/audit/ward-audit.ts';
import type { Species } from '../../../src/domain/patient/species.ts';
import { fewestOwnLines, ownerRisks } from '../../../src/domain/risks/owner-risks.ts';
import { hour, type LineLog, wall } from '../../support/line-builder.ts';
import { lineOut, policy } from '../audit/audited-lines.ts';
import { exactEnds } from './exact-ends.ts';

const fromMs = wall('2025-11-24 00:00');
const period = { fromMs, toMs: wall('2026-11-24 00:00') };
const begun = fromMs + hour;

interface Made {
  species: Species;
  /** Lines that came out; of them with a problem that was seen, removed for one, first tries told and succeeded. */
  out: number;
  swollen?: number;
  occluded?: number;
  withTries?: number;
  firstTry?: number;
  /** Looked at on the next day; of them without a pulse. */
  looked?: number;
  absent?: number;
}

function lines({
  species,
  out,
  swollen = 0,
  occluded = 0,
  withTries = 0,
  firstTry = 0,
  looked = 0,
  absent = 0,
}: Made) {
  return Array.from({ length: out }, (_, index): LineLog => {
    const placedAt = begun + index * hour;
    const log = lineOut(
      placedAt,
      10 * hour,
      index < occluded ? 'occluded' : 'planned',
      {
        patient: { name: `${species} ${index}`, species, weightKg: 4 },
        operator: 'ada',
        ...(index < withTries ? { tries: index < firstTry ? 1 : 2 } : {}),
      },
      (one) => {
        if (index >= out - swollen) one.add('siteChecked', placedAt + hour, { finding: { swelling: true } });
      },
    );
    if (index < looked)
      log.add('pulseChecked', placedAt + 34 * hour, { pulse: index < absent ? 'absent' : 'present' });
    return log;
  });
}

const auditOf = (...made: Made[]) =>
  wardAudit(
    {
      wardEntries: [],
      lines: made.flatMap(lines).map(({ entries }, index) => ({ id: `line-${index}`, entries })),
    },
    policy,
    period,
  );
const told = (species: Species, ...made: Made[]) =>
  ownerRisks(species, auditOf(...made)).map(
    ({ kind, share: { count, total }, from, notReported: notTold }) => [
      kind,
      count,
      total,
      from === 'ward' ? 'ward' : 'published',
      notTold,
    ],
  );

describe('what an owner is told', () => {
  it('is the ward’s own in every figure for which it has enough lines, in the order to be told', () => {
    const dogs: Made = {
      species: 'dog',
      out: 60,
      swollen: 6,
      occluded: 3,
      withTries: 55,
      firstTry: 40,
      looked: 52,
      absent: 5,
    };
    expect(told('dog', dogs)).toEqual([
      ['problem', 9, 60, 'ward', 0],
      ['removed for a problem', 3, 60, 'ward', 0],
      ['no pulse next day', 5, 52, 'ward', 8],
      ['placed at the first try', 40, 55, 'ward', 0],
    ]);
  });

  it('goes figure by figure: published where the ward has too few for that one', () => {
    expect(told('cat', { species: 'cat', out: 50, occluded: 2, withTries: 49, looked: 49 })).toEqual([
      ['problem', 2, 50, 'ward', 0],
      ['removed for a problem', 2, 50, 'ward', 0],
      ['no pulse next day', 21, 94, 'published', 18],
      ['serious harm', 1, 38, 'published', 0],
      ['placed at all', 9, 52, 'published', 0],
    ]);
  });

  it('has the ward’s own first tries in place of the trial on cats, not beside it', () => {
    const kinds = told('cat', { species: 'cat', out: 50, withTries: 50, firstTry: 20 }).map(([kind]) => kind);
    expect(kinds).toContain('placed at the first try');
    expect(kinds).not.toContain('placed at all');
  });

  it.each([
    [49, 'published'],
    [50, 'ward'],
  ])('with %i own lines is %s', (out, from) => {
    expect(told('dog', { species: 'dog', out })[0]?.[3]).toBe(from);
  });

  it('never counts cats with dogs, or other animals with either', () => {
    const others: Made[] = [
      { species: 'cat', out: 49, occluded: 49 },
      { species: 'other', out: 60, occluded: 60 },
    ];
    expect(told('dog', { species: 'dog', out: 50 }, ...others)[0]).toEqual(['problem', 0, 50, 'ward', 0]);
    expect(told('cat', { species: 'dog', out: 50 }, ...others)[0]).toEqual([
      'problem',
      9,
      38,
      'published',
      0,
    ]);
  });

  it('counts limbs and first tries by species too', () => {
    const dogs: Made = { species: 'dog', out: 50, looked: 50, absent: 1, withTries: 50, firstTry: 45 };
    const cats: Made = { species: 'cat', out: 51, looked: 51, absent: 50, withTries: 51, firstTry: 2 };
    expect(told('dog', dogs, cats).slice(2)).toEqual([
      ['no pulse next day', 1, 50, 'ward', 0],
      ['placed at the first try', 45, 50, 'ward', 0],
    ]);
    expect(told('cat', dogs, cats)[2]).toEqual(['no pulse next day', 50, 51, 'ward', 0]);
  });

  it('is nothing of animals that are too many kinds, and of a species without a series the ward’s own alone', () => {
    const made: Made[] = [
      { species: 'other', out: 60, occluded: 60 },
      { species: 'horse', out: 50, occluded: 5 },
      { species: 'rabbit', out: 49 },
    ];
    expect(told('other', ...made)).toEqual([]);
    expect(told('rabbit', ...made)).toEqual([]);
    expect(told('horse', ...made)).toEqual([
      ['problem', 5, 50, 'ward', 0],
      ['removed for a problem', 5, 50, 'ward', 0],
    ]);
  });

  it('is as published where the ward’s record could not be counted, or has nothing', () => {
    expect(ownerRisks('dog', auditOf())).toEqual(ownerRisks('dog', null));
  });
});

// The reason of the threshold, reckoned by the definition of the exact interval; 6.6 %: Hagley et al. 2021.
it('speaks of its own lines from 50 on, where none with a problem leaves up to 7.1 %', () => {
  expect(fewestOwnLines).toBe(50);
  expect(100 * exactEnds(0, fewestOwnLines)[1]).toBeCloseTo(7.1, 1);
});
