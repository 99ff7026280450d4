import { describe, expect, it } from 'vitest';
import { causesOf, sooner } from '../../../src/domain/record/causes.ts';
import {
  effectiveEntries,
  placingStruck,
  struckBy,
  withValues,
} from '../../../src/domain/record/effective-entries.ts';
import {
  bodySchema,
  type DraftOf,
  entrySchema,
  flushSourceSchema,
} from '../../../src/domain/record/entry.ts';
import { clock, LineLog, wall } from '../../support/line-builder.ts';

type Amendment = DraftOf<'amended'>['body'];
/** Placed 20:00 (1), flushed 21:00 (2), zeroed 21:30 (3), then these amendments from 22:00 on, one each minute (4, 5, …). */
const log = (...amendments: Amendment[]) => {
  const line = new LineLog('20:00').add('flushed', '21:00', { volumeMl: 1 }).add('zeroed', '21:30', {});
  for (const [index, body] of amendments.entries()) line.add('amended', wall('22:00') + index * 60_000, body);
  return line.entries;
};
const stands = (...amendments: Amendment[]) =>
  effectiveEntries(log(...amendments)).map(({ number, entry }) => `${number} ${clock(entry.at)}`);
const struck = (...amendments: Amendment[]) => [...struckBy(log(...amendments)).keys()];
const strike = (target: number): Amendment => ({ target, strike: 'a slip' });

describe('an entry that is struck', () => {
  it.each<[string, Amendment[], number[], string[]]>([
    ['none', [], [], ['1 20:00', '2 21:00', '3 21:30']],
    ['drops out', [strike(2)], [2], ['1 20:00', '3 21:30']],
    ['is back once its strike is struck', [strike(2), strike(4)], [4], ['1 20:00', '2 21:00', '3 21:30']],
    ['is out again once that is', [strike(2), strike(4), strike(5)], [5, 2], ['1 20:00', '3 21:30']],
    [
      'stays where it is the placing: of that it is said elsewhere',
      [strike(1)],
      [1],
      ['1 20:00', '2 21:00', '3 21:30'],
    ],
    [
      'is none where the strike speaks of itself or of what comes later',
      [strike(4), strike(9)],
      [],
      ['1 20:00', '2 21:00', '3 21:30'],
    ],
  ])('%s', (_how, amendments, numbers, expected) => {
    expect(struck(...amendments)).toEqual(numbers);
    expect(stands(...amendments)).toEqual(expected);
  });

  it('is said to be by its latest strike', () => {
    expect(struckBy(log(strike(2), strike(2))).get(2)?.at).toBe(wall('22:01'));
  });
});

describe('a line registered in error', () => {
  it('is one whose placing was struck, by the latest strike, with its number', () => {
    const entries = log(strike(1));
    expect(placingStruck(entries)).toEqual({ number: 4, entry: entries[3] });
    expect(placingStruck(log(strike(1), strike(1)))?.number).toBe(5);
  });

  it.each<[string, Amendment[]]>([
    ['something else was struck', [strike(2)]],
    ['the placing was put right', [{ target: 1, body: { gauge: 22 } }]],
    ['its strike was struck', [strike(1), strike(4)]],
    ['nothing was amended', []],
  ])('is none where %s', (_where, amendments) => {
    expect(placingStruck(log(...amendments))).toBeNull();
  });
});

describe('an entry that is put right', () => {
  it('stands at its new time, and in the order of what happened; of one minute as recorded', () => {
    expect(stands({ target: 3, at: wall('20:30') })).toEqual(['1 20:00', '3 20:30', '2 21:00']);
    expect(stands({ target: 3, at: wall('21:00') })).toEqual(['1 20:00', '2 21:00', '3 21:00']);
    expect(stands({ target: 2, at: wall('21:30') })).toEqual(['1 20:00', '2 21:30', '3 21:30']);
  });

  it('of two words on one thing the later counts, of each thing by itself', () => {
    const [, flush] = effectiveEntries(
      log(
        { target: 2, at: wall('21:05'), body: { volumeMl: 2 } },
        { target: 2, body: { volumeMl: 3, usual: true } },
      ),
    );
    expect(flush).toMatchObject({
      number: 2,
      entry: { at: wall('21:05'), body: { volumeMl: 3, usual: true } },
      amended: {
        told: wall('22:01'),
        first: { at: wall('21:00'), body: { volumeMl: 1 } },
        valueRecordedAt: { volumeMl: wall('22:01'), usual: wall('22:01') },
      },
    });
    const [, moved] = effectiveEntries(
      log({ target: 2, at: wall('21:05') }, { target: 2, at: wall('21:10') }),
    );
    expect(moved?.entry.at).toBe(wall('21:10'));
  });

  it('is as it was once the amendment is struck, and where it speaks of itself or of what comes later', () => {
    const right: Amendment = { target: 2, at: wall('21:05') };
    expect(stands(right, strike(4))).toEqual(['1 20:00', '2 21:00', '3 21:30']);
    expect(stands({ target: 4, at: wall('21:05') }, { target: 9, at: wall('21:05') })).toEqual(stands());
    expect(effectiveEntries(log(right, strike(4))).some(({ amended }) => amended)).toBe(false);
  });

  it('is not touched by an amendment recorded before it, nor a placing by its strike', () => {
    const line = new LineLog('20:00')
      .add('amended', '20:10', { target: 3, at: wall('20:30') })
      .add('flushed', '21:00', {});
    expect(effectiveEntries(line.entries).map(({ entry }) => clock(entry.at))).toEqual(['20:00', '21:00']);
    expect(effectiveEntries(log(strike(1)))[0]).not.toHaveProperty('amended');
  });

  it('loses a value that is cleared', () => {
    expect(withValues({ volumeMl: 1, usual: true }, { usual: null })).toEqual({ volumeMl: 1 });
    expect(withValues({ volumeMl: 1 }, { volumeMl: 2, again: 3 })).toEqual({ volumeMl: 2, again: 3 });
  });
});

describe('what makes a duty due at once', () => {
  const entry = new LineLog('20:00').add('disturbed', '20:20', { how: 'moved' }, { told: wall('21:00') })
    .entries[1];
  it('does so from when it was recorded, where that was later', () => {
    if (!entry) throw new Error('no entry');
    expect(causesOf(entry, 2)('disturbed')).toEqual({ at: wall('21:00'), entry: 2, why: 'disturbed' });
    expect(causesOf({ ...entry, told: wall('20:19') }, 2)('disturbed').at).toBe(wall('20:20'));
  });

  it('is the first of two, and of one minute the one that stood', () => {
    const cause = (at: number, number: number) => ({ at, entry: number, why: 'sampled' as const });
    expect(sooner(null, cause(5, 2))).toEqual(cause(5, 2));
    expect(sooner(cause(5, 1), cause(6, 2))).toEqual(cause(5, 1));
    expect(sooner(cause(5, 1), cause(5, 2))).toEqual(cause(5, 1));
    expect(sooner(cause(5, 1), cause(4, 2))).toEqual(cause(4, 2));
  });
});

// What can be meant: common practice, no source.
describe('what the record takes', () => {
  const source = (value: object) => flushSourceSchema.safeParse({ kind: 'syringe', ...value }).success;
  it.each<[string, object, boolean]>([
    ['a pressure bag', { kind: 'pressure bag' }, true],
    ['a bucket', { kind: 'bucket' }, false],
    ['3000 mL', { volumeMl: 3000 }, true],
    ['3001 mL', { volumeMl: 3001 }, false],
    ['no mL', { volumeMl: 0 }, false],
    ['50 mL/h', { rateMlPerH: 50 }, true],
    ['51 mL/h', { rateMlPerH: 51 }, false],
    ['400 mmHg', { pressureMmHg: 400 }, true],
    ['401 mmHg', { pressureMmHg: 401 }, false],
    ['100 U/mL of heparin', { heparinUPerMl: 100 }, true],
    ['101 U/mL', { heparinUPerMl: 101 }, false],
    ['whoever looked at the label', { heparinSeenBy: 'nina' }, true],
    ['nobody as whoever looked', { heparinSeenBy: '' }, false],
    ['somebody with an id of 41 letters', { heparinSeenBy: 'n'.repeat(41) }, false],
  ])('of a flush source: %s (%j) %s', (_what, value, isTaken) => {
    expect(source(value)).toBe(isTaken);
  });

  it('of notes 500 letters, of findings those that have a name', () => {
    const note = (letters: number) => bodySchema('noted').safeParse({ text: 'n'.repeat(letters) }).success;
    expect([note(500), note(501)]).toEqual([true, false]);
    const finding = { swelling: true, pain: false, ooze: true, cold: false, noPulse: true, soiled: true };
    expect(bodySchema('siteChecked').parse({ finding })).toEqual({ finding });
    expect(bodySchema('siteChecked').safeParse({ finding: { swelling: 'yes' } }).success).toBe(false);
  });

  it('of an entry who, when, how and what', () => {
    const entry = { at: 1, told: 2, by: 'nina', via: 'button', kind: 'zeroed', body: {} };
    expect(entrySchema.parse(entry)).toEqual(entry);
    for (const wrong of [{ at: -1 }, { told: 0.5 }, { by: '' }, { via: 'fax' }, { kind: 'zapped' }])
      expect(entrySchema.safeParse({ ...entry, ...wrong }).success).toBe(false);
  });
});
