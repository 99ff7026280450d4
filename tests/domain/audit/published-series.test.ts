import { describe, expect, it } from 'vitest';
import type { Attempt } from '../../../src/domain/audit/attempt.ts';
import { firstAttemptSuccess } from '../../../src/domain/audit/first-attempt.ts';
import { linesAudit } from '../../../src/domain/audit/lines-audit.ts';
import type { LineLog } from '../../support/line-builder.ts';
import { hour, wall } from '../../support/line-builder.ts';
import { lineOut, logged, percent, policyAt } from './audited-lines.ts';

const fromMs = wall('2026-01-01 00:00');
const period = { fromMs, toMs: wall('2026-12-31 00:00') };
const placedAt = fromMs + hour;
const times = <T>(count: number, make: (index: number) => T): T[] =>
  Array.from({ length: count }, (_, index) => make(index));
const auditOf = (logs: readonly LineLog[]) => linesAudit(logged(logs), policyAt, period);

describe('a record as Hagley, Hopper and Epstein describe theirs (JVECC 2021;31:469-475)', () => {
  // 198 dogs: complications in 19.2 % (38), of them 13 removed for one; dorsal metatarsal in 90.4 % (179); median dwell 24 h.
  // The complications' kinds and the other site are made up.
  const dogs = times(198, (index) =>
    lineOut(
      placedAt,
      (index < 99 ? 10 + (index % 15) : 24 + (index % 40)) * hour,
      index < 13 ? 'occluded' : 'planned',
      index < 179 ? {} : { site: 'radial' },
      (log) => {
        if (index >= 13 && index < 38) log.add('siteChecked', placedAt + hour, { finding: { ooze: true } });
      },
    ),
  );
  // 29 cats: 17.2 % (5), of them 2 removed; dorsal metatarsal 51.7 % (15), coccygeal 48.3 % (14); median dwell 12 h.
  const cats = times(29, (index) =>
    lineOut(
      placedAt,
      (index < 14 ? 6 : index === 14 ? 12 : 20) * hour,
      index < 2 ? 'swelling' : 'planned',
      { patient: { species: 'cat', weightKg: 4 }, ...(index < 15 ? {} : { site: 'median caudal' }) },
      (log) => {
        if (index < 5) log.add('siteChecked', placedAt + hour, { finding: { swelling: true } });
      },
    ),
  );
  const { all, bySpecies } = auditOf([...dogs, ...cats]);

  it('has 227 lines, 198 in dogs and 29 in cats', () => {
    expect([all.lines, bySpecies.dog?.lines, bySpecies.cat?.lines]).toEqual([227, 198, 29]);
    expect(bySpecies.other).toBeUndefined();
  });

  it('prints 19.2 and 17.2 % with a complication, 6.6 and 6.9 % removed for one', () => {
    const printed = [bySpecies.dog, bySpecies.cat].map(
      (one) => one && [percent(one.complications.linesWithOne), percent(one.complications.removedForOne)],
    );
    expect(printed).toEqual([
      ['19.2', '6.6'],
      ['17.2', '6.9'],
    ]);
  });

  it('prints 90.4 % dorsal in dogs, 51.7 % dorsal and 48.3 % tail in cats', () => {
    expect(percent(bySpecies.dog?.sites['dorsal pedal'] ?? { share: null })).toBe('90.4');
    expect(percent(bySpecies.cat?.sites['dorsal pedal'] ?? { share: null })).toBe('51.7');
    expect(percent(bySpecies.cat?.sites['median caudal'] ?? { share: null })).toBe('48.3');
  });

  it('has a median dwell of 24 h in dogs and 12 h in cats', () => {
    expect(bySpecies.dog?.dwellMs.median).toBe(24 * hour);
    expect(bySpecies.cat?.dwellMs.median).toBe(12 * hour);
  });

  it('gives each share its intervals, recomputed: 13 of 198 is 3.9 to 10.9 % by score, 3.5 to 11.0 % exact', () => {
    const { score, exact, tooFew } = bySpecies.dog?.complications.removedForOne ?? {};
    expect(
      [score?.lower, score?.upper, exact?.lower, exact?.upper].map((end) => (100 * (end ?? 0)).toFixed(1)),
    ).toEqual(['3.9', '10.9', '3.5', '11.0']);
    expect(tooFew).toBe(false);
  });
});

describe('a record as Mooshian et al. describe theirs (J Feline Med Surg 2019;21:173-177)', () => {
  // 38 catheters in cats: 9 minor complications (23.7 %, mostly occlusion) and 1 major (2.63 %); here the major is an infection.
  const { bySpecies } = auditOf(
    times(38, (index) =>
      lineOut(placedAt, 10 * hour, index < 9 ? 'occluded' : index < 10 ? 'infection' : 'planned', {
        patient: { species: 'cat', weightKg: 4 },
      }),
    ),
  );

  it('prints 23.7 % occluded and 2.63 % infected, of catheters and not of cats', () => {
    const { byKind } = bySpecies.cat?.complications ?? {};
    const out = bySpecies.cat?.out ?? 0;
    expect(((100 * (byKind?.occluded ?? 0)) / out).toFixed(1)).toBe('23.7');
    expect(((100 * (byKind?.infection ?? 0)) / out).toFixed(2)).toBe('2.63');
  });
});

describe('a record as Sasaki, Shiga and Gomez de Segura describe theirs (Front Vet Sci 2019;6:171)', () => {
  // 60 dogs each: occluded in 5 (8.3 %) where the catheter was secured their way, in 14 (23.3 %) of the others.
  it.each([
    [5, '8.3'],
    [14, '23.3'],
  ])('prints %i of 60 occluded as %s %%', (occluded, printed) => {
    const { all } = auditOf(
      times(60, (index) => lineOut(placedAt, 3 * hour, index < occluded ? 'occluded' : 'planned')),
    );
    expect(percent(all.complications.removedForOne)).toBe(printed);
  });
});

describe('a record as the survey of anaesthetized animals describes its own (JVECC 2017;27:89-95)', () => {
  // 112 sites seen the next day: pulse told of 94, 73 present and 21 absent (22.3 %).
  const { pulseAfterRemoval: pulses } = auditOf(
    times(112, (index) => {
      const log = lineOut(placedAt, 2 * hour, 'planned');
      if (index < 94)
        log.add('pulseChecked', placedAt + 26 * hour, { pulse: index < 21 ? 'absent' : 'present' });
      else if (index < 103) log.add('pulseChecked', placedAt + 26 * hour, { pulse: 'cannot tell' });
      return log;
    }),
  );

  it('prints 22.3 % absent, of the 94 that were told of and not of 112', () => {
    expect(percent(pulses.nextDay.absent)).toBe('22.3');
    expect(pulses.nextDay.absent).toMatchObject({ count: 21, total: 94 });
  });

  it('keeps the 18 that were not told of as their own: nine looked at in vain, nine not at all', () => {
    expect(pulses.nextDay.found['cannot tell']).toBe(9);
    expect(pulses.nextDay.notChecked).toBe(9);
    expect(pulses.first.notChecked).toBe(112);
  });
});

describe('a record as Lorente et al. describe their femoral lines (Crit Care 2006, doi:10.1186/cc4930)', () => {
  it('prints 3.02 local infections per 1000 days: 11 in 618 catheters over 3647 days', () => {
    // 557 lines of 6 days and 61 of 5: 3342 + 305 = 3647.
    const { all } = auditOf(
      times(618, (index) =>
        lineOut(placedAt, (index < 557 ? 6 : 5) * 24 * hour, index < 11 ? 'infection' : 'planned'),
      ),
    );
    const rate = all.complications.per100LineDays;
    expect(all.lineDays).toBe(3647);
    expect((10 * (rate?.rate ?? 0)).toFixed(2)).toBe('3.02');
    // Exact limits recomputed: 1.506 to 5.397 per 1000 days.
    expect((10 * (rate?.lower ?? 0)).toFixed(3)).toBe('1.506');
    expect((10 * (rate?.upper ?? 0)).toFixed(3)).toBe('5.397');
  });
});

describe('a record that lasts as the remissions under 6-MP did (Freireich et al., Blood 1963;21:699-716), a week an hour', () => {
  const failed = [6, 6, 6, 7, 10, 13, 16, 22, 23];
  const left = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35];
  const { all } = auditOf([
    ...failed.map((hours, index) => lineOut(placedAt, hours * hour, index % 2 ? 'dislodged' : 'occluded')),
    ...left.map((hours, index) =>
      lineOut(
        placedAt,
        hours * hour,
        (['planned', 'dwell limit', 'death', 'transfer'] as const)[index % 4] ?? 'planned',
      ),
    ),
  ]);

  it('prints the published curve and its median, other removals censored', () => {
    expect(all.timeToFailure.steps.map(({ survival }) => survival.toFixed(3))).toEqual([
      '0.857',
      '0.807',
      '0.753',
      '0.690',
      '0.627',
      '0.538',
      '0.448',
    ]);
    expect(all.timeToFailure.median.time).toBe(23 * hour);
    expect(all.timeToFailure.exposure).toBe(359 * hour);
  });

  it('is not to be read beyond 25 h, after which fewer than five are left', () => {
    expect(all.timeToFailure.readableUntilMs).toBe(25 * hour);
  });
});

describe('tries as published', () => {
  const tries = (placings: number, succeeded: number, by: string, species: Attempt['species']): Attempt[] =>
    times(placings, (index) => ({
      placing: `${by} ${index}`,
      at: placedAt + index,
      by,
      succeeded: index < succeeded,
      species,
      site: 'dorsal pedal',
    }));

  it('print 19 and 15 % in cats with and without Doppler, 17 % in all (J Feline Med Surg 2024, doi:10.1177/1098612X241257857)', () => {
    const { all, byOperator, bySpecies } = firstAttemptSuccess(
      [...tries(26, 5, 'Doppler', 'cat'), ...tries(26, 4, 'palpation', 'cat')],
      period,
    );
    expect(['Doppler', 'palpation'].map((by) => percent(byOperator[by] ?? { share: null }, 0))).toEqual([
      '19',
      '15',
    ]);
    expect(percent(all, 0)).toBe('17');
    expect(bySpecies).toEqual({ cat: all });
  });

  it('print 61.4 and 88.7 % by palpation and transillumination in small dogs (Vet Rec 2023;192(12):e2881)', () => {
    const { byOperator } = firstAttemptSuccess(
      [...tries(70, 43, 'palpation', 'dog'), ...tries(71, 63, 'light', 'dog')],
      period,
    );
    expect(['palpation', 'light'].map((by) => percent(byOperator[by] ?? { share: null }))).toEqual([
      '61.4',
      '88.7',
    ]);
  });
});
