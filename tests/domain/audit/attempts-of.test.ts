import { describe, expect, it } from 'vitest';
import { attemptsOf, onePlacingMs } from '../../../src/domain/audit/attempts-of.ts';
import { firstAttemptSuccess } from '../../../src/domain/audit/first-attempt.ts';
import { learningCurves } from '../../../src/domain/audit/learning-curve.ts';
import type { WardEntry } from '../../../src/domain/ward/ward-entry.ts';
import { hour, LineLog, minute, type PlacedChanges, wall } from '../../support/line-builder.ts';
import * as fc from '../../support/properties.ts';
import { percent } from './audited-lines.ts';

type FailedBody = Extract<WardEntry, { kind: 'triesFailed' }>['body'];

/** Failed tries at the left dorsal pedal of Biscuit, a dog, by Noor. */
function failed(at: string | number, tries: number, changes: Partial<FailedBody> = {}): WardEntry {
  const happened = typeof at === 'number' ? at : wall(at);
  return {
    at: happened,
    told: happened,
    by: 'nina',
    via: 'form',
    kind: 'triesFailed',
    body: {
      patient: { name: 'Biscuit', species: 'dog' },
      site: 'dorsal pedal',
      side: 'left',
      operator: 'noor',
      tries,
      ...changes,
    },
  };
}

const line = (at: string | number, changes: PlacedChanges = {}, id = 'line-1') =>
  new LineLog(at, changes, id);

/** Who, and F for a failed try or S for one that succeeded; placings parted by a bar. */
function told(wardEntries: readonly WardEntry[], lines: readonly LineLog[]): string {
  const attempts = attemptsOf(wardEntries, lines);
  return [...Map.groupBy(attempts, ({ placing }) => placing).values()]
    .map((placing) => placing.map(({ by, succeeded }) => `${by} ${succeeded ? 'S' : 'F'}`).join(', '))
    .join(' | ');
}

describe('the tries that were told', () => {
  it('are the failed ones and then the one that succeeded, by whoever placed the line', () => {
    expect(told([], [line('20:00', { operator: 'nell', tries: 3 })])).toBe('nell F, nell F, nell S');
  });

  it('are the line’s of the same animal, though its name was put right after they were told', () => {
    const line2 = line('20:00', { operator: 'nell', animal: 'a', patient: { name: 'Brisket' } });
    expect(told([failed('19:30', 1, { animal: 'a' })], [line2])).toBe('noor F, nell S');
    expect(told([failed('19:30', 1, { animal: 'b' })], [line2])).toBe('noor F');
  });

  it('are none that were struck', () => {
    const strike: WardEntry = {
      at: wall('19:40'),
      told: wall('19:40'),
      by: 'nina',
      via: 'button',
      kind: 'triesStruck',
      body: { target: 1 },
    };
    const twice = [failed('19:00', 2), failed('19:30', 1), strike];
    expect(told(twice, [line('20:00', { operator: 'nell' })])).toBe('noor F, nell S');
  });

  it('are the teller’s where nobody is named', () => {
    expect(told([], [line('20:00', { tries: 1 })])).toBe('nina S');
  });

  it('are none where none was told with a line and none failed before it', () => {
    expect(told([], [line('20:00')])).toBe('');
  });

  it('have one success at the end where failed ones were told before a line without a number', () => {
    expect(told([failed('20:00', 2)], [line('21:00', { operator: 'nell' })])).toBe('noor F, noor F, nell S');
  });

  it('stay failed ones where no line came of them', () => {
    expect(told([failed('20:00', 2)], [])).toBe('noor F, noor F');
  });

  it.each([
    ['12 h later belong to one placing', '08:00', 'noor F, nell S'],
    ['12 h and a minute later to two', '08:01', 'noor F | nell S'],
  ])('%s', (_, at, expected) => {
    // 20:00 on Tuesday to 08:00 on Wednesday; `wall` takes times before noon for Wednesday's.
    expect(told([failed('20:00', 1)], [line(at, { operator: 'nell', tries: 1 })])).toBe(expected);
  });

  it('follow each other: what comes within 12 h of the last try belongs to the same placing', () => {
    const entries = [failed('2026-11-24 08:00', 1), failed('2026-11-24 18:00', 1, { operator: 'nell' })];
    expect(told(entries, [line('2026-11-25 04:00', { operator: 'nell', tries: 1 })])).toBe(
      'noor F, nell F, nell S',
    );
  });

  it('end with a line: what is tried after it is another placing', () => {
    expect(told([failed('21:00', 1)], [line('20:00', { tries: 1 })])).toBe('nina S | noor F');
    expect(
      told([], [line('20:00', { tries: 1 }), line('20:10', { tries: 1, side: 'right' }, 'line-2')]),
    ).toBe('nina S | nina S');
  });

  it('come before a line of the same minute', () => {
    expect(told([failed('20:00', 1)], [line('20:00', { operator: 'noor' })])).toBe('noor F, noor S');
  });

  it('before two lines of the same minute belong to the same one, whichever is read first', () => {
    const lines = [line('20:30', { tries: 1 }), line('20:30', { tries: 1, side: 'right' }, 'line-2')];
    expect(told([failed('20:00', 1)], lines)).toBe('noor F, nina S | nina S');
    const placingOf = (read: readonly LineLog[]) => attemptsOf([failed('20:00', 1)], read)[0]?.placing;
    expect([placingOf(lines), placingOf(lines.toReversed())]).toEqual(['line-1', 'line-1']);
  });

  it('are those of one animal, whatever the case of its name, and not of another of that name', () => {
    const shouted = failed('20:00', 1, { patient: { name: 'BISCUIT ', species: 'dog' } });
    const cat = failed('20:00', 1, { patient: { name: 'Biscuit', species: 'cat' } });
    const placed = line('20:30', { operator: 'nell', tries: 1 });
    expect(told([shouted], [placed])).toBe('noor F, nell S');
    expect(told([cat], [placed])).toBe('noor F | nell S');
  });

  it('are not counted twice: tries with a line are all of its operator’s at that artery', () => {
    const placed = [line('20:30', { operator: 'noor', tries: 3 })];
    expect(told([failed('20:00', 2)], placed)).toBe('noor F, noor F, noor S');
    expect(told([failed('20:00', 1)], placed)).toBe('noor F, noor F, noor S');
    expect(told([failed('20:00', 4)], placed)).toBe('noor F, noor F, noor F, noor F, noor S');
    expect(told([failed('20:00', 2, { side: 'right' })], placed)).toBe(
      'noor F, noor F, noor F, noor F, noor S',
    );
    expect(told([failed('20:00', 2, { operator: 'nell' })], placed)).toBe(
      'nell F, nell F, noor F, noor F, noor S',
    );
  });

  it('are as a line was amended: its time, who placed it, how many, which animal', () => {
    const amended = line('08:01', { operator: 'nell', tries: 1 }).add('amended', '09:00', {
      target: 1,
      at: wall('07:59'),
      body: { operator: 'noor', tries: 2, patient: { name: 'Biscuit', species: 'dog', weightKg: 20 } },
    });
    expect(told([failed('20:00', 1, { side: 'right' })], [amended])).toBe('noor F, noor F, noor S');
  });

  it('stand at their own time and site', () => {
    expect(
      attemptsOf(
        [failed('20:00', 1, { site: 'radial' })],
        [line('20:30', { tries: 1, patient: { species: 'dog' } })],
      ),
    ).toEqual([
      {
        placing: 'line-1',
        at: wall('20:00'),
        by: 'noor',
        succeeded: false,
        species: 'dog',
        site: 'radial',
      },
      {
        placing: 'line-1',
        at: wall('20:30'),
        by: 'nina',
        succeeded: true,
        species: 'dog',
        site: 'dorsal pedal',
      },
    ]);
  });
});

describe('the tries of a whole ward', () => {
  const animals = ['Biscuit', 'Mochi'] as const;
  const failedTries = fc
    .record({
      atMin: fc.nat({ max: 3 * 24 * 60 }),
      tries: fc.integer({ min: 1, max: 4 }),
      name: fc.constantFrom(...animals),
      operator: fc.constantFrom('noor', 'nell'),
    })
    .map(({ atMin, tries, name, operator }) =>
      failed(wall('20:00') + atMin * minute, tries, { patient: { name, species: 'dog' }, operator }),
    );
  const placedLine = fc.record({
    atMin: fc.nat({ max: 3 * 24 * 60 }),
    tries: fc.option(fc.integer({ min: 1, max: 4 }), { nil: undefined }),
    name: fc.constantFrom(...animals),
  });
  const ward = fc.record({
    entries: fc.array(failedTries, { maxLength: 8 }),
    lines: fc
      .array(placedLine, { maxLength: 8 })
      .map((lines) =>
        lines.map(({ atMin, tries, name }, index) =>
          line(
            wall('20:00') + atMin * minute,
            { patient: { name }, operator: 'noor', ...(tries === undefined ? {} : { tries }) },
            `line-${index}`,
          ),
        ),
      ),
  });

  it('lose no failed try, and give each line at most one success, its last', () => {
    fc.assert(
      fc.property(ward, ({ entries, lines }) => {
        const attempts = attemptsOf(entries, lines);
        const toldFailed = entries.reduce(
          (sum, { kind, body }) => sum + (kind === 'triesFailed' ? body.tries : 0),
          0,
        );
        expect(attempts.filter(({ succeeded }) => !succeeded).length).toBeGreaterThanOrEqual(toldFailed);
        const placings = [...Map.groupBy(attempts, ({ placing }) => placing).values()];
        for (const placing of placings) {
          expect(placing.slice(0, -1).some(({ succeeded }) => succeeded)).toBe(false);
          const gaps = placing.slice(1).map(({ at }, index) => at - (placing[index]?.at ?? 0));
          expect(gaps.every((gap) => gap >= 0 && gap <= onePlacingMs)).toBe(true);
        }
        expect(placings.filter((placing) => placing.at(-1)?.succeeded).length).toBeLessThanOrEqual(
          lines.length,
        );
      }),
    );
  });

  it('are the same in whatever order lines are read', () => {
    fc.assert(
      fc.property(ward, ({ entries, lines }) => {
        const byTime = ({ at, by, placing, succeeded }: ReturnType<typeof attemptsOf>[number]) =>
          `${at} ${by} ${placing} ${succeeded}`;
        expect(attemptsOf(entries, lines.toReversed()).map(byTime).toSorted()).toEqual(
          attemptsOf(entries, lines).map(byTime).toSorted(),
        );
      }),
    );
  });

  it('of one animal do not hang on another’s', () => {
    fc.assert(
      fc.property(ward, ({ entries, lines }) => {
        const of = (name: string) =>
          attemptsOf(
            entries.filter((one) => one.kind !== 'triesFailed' || one.body.patient.name === name),
            lines.filter(({ entries: [placed] }) =>
              placed?.kind === 'placed' ? placed.body.patient.name === name : false,
            ),
          ).length;
        expect(of('Biscuit') + of('Mochi')).toBe(attemptsOf(entries, lines).length);
      }),
    );
  });
});

describe('a record as published series describe theirs', () => {
  const fromMs = wall('2026-01-01 00:00');
  const period = { fromMs, toMs: wall('2026-12-31 00:00') };

  /** So many animals of which each was tried once, so many of them with success. */
  function series(
    by: string,
    species: 'dog' | 'cat',
    tried: number,
    succeeded: number,
    site: FailedBody['site'],
  ) {
    const animals = Array.from({ length: tried }, (_, index) => ({
      name: `${by} ${index}`,
      at: fromMs + (index + 1) * hour,
      came: index < succeeded,
    }));
    return {
      entries: animals.flatMap(({ name, at, came }) =>
        came ? [] : [failed(at, 1, { patient: { name, species }, operator: by, site })],
      ),
      lines: animals.flatMap(({ name, at, came }) =>
        came
          ? [
              line(
                at,
                { patient: { name, species, weightKg: 4 }, operator: by, tries: 1, site },
                `${by}-${name}`,
              ),
            ]
          : [],
      ),
    };
  }
  const both = (a: ReturnType<typeof series>, b: ReturnType<typeof series>) =>
    attemptsOf([...a.entries, ...b.entries], [...a.lines, ...b.lines]);

  it('prints 17 % of 52, 19 and 15 % with and without Doppler, in cats (J Feline Med Surg 2024, doi:10.1177/1098612X241257857)', () => {
    const attempts = both(
      series('Doppler', 'cat', 26, 5, 'dorsal pedal'),
      series('palpation', 'cat', 26, 4, 'dorsal pedal'),
    );
    const { all, byOperator } = firstAttemptSuccess(attempts, period);
    expect(all).toMatchObject({ count: 9, total: 52 });
    expect(percent(all, 0)).toBe('17');
    expect(['Doppler', 'palpation'].map((by) => percent(byOperator[by] ?? { share: null }, 0))).toEqual([
      '19',
      '15',
    ]);
  });

  it('prints 61.4 and 88.7 % at the tail of small dogs by palpation and by light (Kim et al., Vet Rec 2023;192(12):e2881)', () => {
    const attempts = both(
      series('palpation', 'dog', 70, 43, 'median caudal'),
      series('light', 'dog', 71, 63, 'median caudal'),
    );
    const { byOperator } = firstAttemptSuccess(attempts, period);
    expect(['palpation', 'light'].map((by) => percent(byOperator[by] ?? { share: null }))).toEqual([
      '61.4',
      '88.7',
    ]);
    expect(learningCurves(attempts).map(({ by, attempts: made, failures }) => [by, made, failures])).toEqual([
      ['light', 71, 8],
      ['palpation', 70, 27],
    ]);
  });
});
