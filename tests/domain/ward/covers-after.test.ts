import { describe, expect, it } from 'vitest';
import {
  type Cover,
  coverStepsAt,
  coversAfter,
  coversFrom,
  mostCovers,
  standInFor,
} from '../../../src/domain/ward/cover.ts';
import { clock, wall } from '../../support/line-builder.ts';

let number = 0;
/** A cover set at 20:00 unless `at` says when. */
const cover = (
  away: string,
  by: string,
  from: string,
  until: string,
  changes: Partial<Cover> = {},
): Cover => ({
  number: ++number,
  away,
  by,
  from: wall(from),
  until: wall(until),
  setBy: 'nina',
  at: wall('20:00'),
  startNotified: true,
  endNotified: false,
  ...changes,
});
const shown = (covers: readonly Cover[]) =>
  covers.map(({ away, by, from, until }) => `${by} for ${away} ${clock(from)}-${clock(until)}`);
const after = (...covers: Cover[]) => shown(covers.reduce<Cover[]>(coversAfter, []));

describe('the covers of one person, with one more', () => {
  it.each<[string, Cover[], string[]]>([
    [
      'one that runs ends where the next begins',
      [cover('ina', 'teo', '20:00', '07:00'), cover('ina', 'olga', '02:00', '06:00')],
      ['teo for ina 20:00-02:00', 'olga for ina 02:00-06:00'],
    ],
    [
      'one that runs falls away where the next begins at once',
      [cover('ina', 'teo', '20:00', '07:00'), cover('ina', 'olga', '21:00', '06:00', { at: wall('21:00') })],
      ['olga for ina 21:00-06:00'],
    ],
    [
      'one that would begin before the end of the next falls away',
      [cover('ina', 'teo', '02:00', '07:00'), cover('ina', 'olga', '01:00', '02:01')],
      ['olga for ina 01:00-02:01'],
    ],
    [
      'one that would begin with the next falls away',
      [cover('ina', 'teo', '02:00', '03:00'), cover('ina', 'olga', '02:00', '06:00')],
      ['olga for ina 02:00-06:00'],
    ],
    [
      'one that begins as the next ends stays',
      [cover('ina', 'teo', '02:00', '07:00'), cover('ina', 'olga', '01:00', '02:00')],
      ['teo for ina 02:00-07:00', 'olga for ina 01:00-02:00'],
    ],
    [
      'one that is over before the next begins stays as it is',
      [cover('ina', 'teo', '20:00', '21:00'), cover('ina', 'olga', '22:00', '23:00')],
      ['teo for ina 20:00-21:00', 'olga for ina 22:00-23:00'],
    ],
    [
      'one that ends as the next begins stays as it is',
      [cover('ina', 'teo', '20:00', '22:00'), cover('ina', 'olga', '22:00', '23:00', { at: wall('22:00') })],
      ['teo for ina 20:00-22:00', 'olga for ina 22:00-23:00'],
    ],
    [
      'that of another stays',
      [cover('zoe', 'teo', '20:00', '07:00'), cover('ina', 'olga', '02:00', '06:00')],
      ['teo for zoe 20:00-07:00', 'olga for ina 02:00-06:00'],
    ],
    [
      'being there oneself ends what runs and adds none',
      [cover('ina', 'teo', '20:00', '07:00'), cover('ina', 'ina', '02:00', '06:00')],
      ['teo for ina 20:00-02:00'],
    ],
    [
      'one without any time adds none',
      [cover('ina', 'teo', '20:00', '23:00'), cover('zoe', 'olga', '22:00', '22:00')],
      ['teo for ina 20:00-23:00'],
    ],
  ])('%s', (_how, covers, expected) => {
    expect(after(...covers)).toEqual(expected);
  });
});

describe('covers never run in a circle', () => {
  it.each<[string, Cover[], string[]]>([
    [
      'whoever is named is there: their own cover ends where it would lead back',
      [cover('ina', 'teo', '20:00', '07:00'), cover('teo', 'ina', '22:00', '06:00')],
      ['teo for ina 20:00-22:00', 'ina for teo 22:00-06:00'],
    ],
    [
      'from where it would, not before',
      [cover('ina', 'teo', '23:00', '07:00'), cover('teo', 'ina', '22:00', '06:00')],
      ['ina for teo 22:00-06:00'],
    ],
    [
      'not where it would lead back only once this one is over',
      [cover('ina', 'teo', '23:00', '07:00'), cover('teo', 'ina', '22:00', '23:00')],
      ['teo for ina 23:00-07:00', 'ina for teo 22:00-23:00'],
    ],
    [
      'over several people, from the first time that it would',
      [
        cover('ina', 'olga', '22:00', '07:00'),
        cover('olga', 'teo', '00:00', '07:00'),
        cover('teo', 'ina', '21:00', '06:00'),
      ],
      ['olga for ina 22:00-00:00', 'teo for olga 00:00-07:00', 'ina for teo 21:00-06:00'],
    ],
    [
      'and a cover that leads elsewhere stays',
      [cover('ina', 'olga', '22:00', '07:00'), cover('teo', 'ina', '21:00', '06:00')],
      ['olga for ina 22:00-07:00', 'ina for teo 21:00-06:00'],
    ],
  ])('%s', (_how, covers, expected) => {
    const found = covers.reduce<Cover[]>(coversAfter, []);
    expect(shown(found)).toEqual(expected);
    for (const at of ['20:00', '21:00', '22:00', '23:00', '00:00', '05:59'])
      expect(standInFor(found, 'zoe', wall(at))).toBe('zoe');
  });
});

describe('covers that are over', () => {
  const at = wall('23:00');
  const next = cover('bo', 'olga', '23:00', '07:00', { at });
  it.each<[string, Cover, boolean]>([
    ['an hour ago or longer are dropped', cover('ina', 'teo', '20:00', '22:00'), false],
    ['less than an hour ago stay until people were told', cover('ina', 'teo', '20:00', '22:01'), true],
    [
      'less than an hour ago are dropped once they were',
      cover('ina', 'teo', '20:00', '22:01', { endNotified: true }),
      false,
    ],
    ['just now likewise', cover('ina', 'teo', '20:00', '23:00', { endNotified: true }), false],
    ['not yet stay, whatever was told', cover('ina', 'teo', '20:00', '23:01', { endNotified: true }), true],
  ])('%s', (_when, one, stays) => {
    expect(coversAfter([one], next)).toEqual(stays ? [one, next] : [next]);
  });

  it('are the first to go where a ward has too many', () => {
    const running = Array.from({ length: mostCovers - 1 }, (_, n) => cover(`n${n}`, 'teo', '22:00', '07:00'));
    const over = cover('ina', 'teo', '20:00', '22:30');
    const [first, ...rest] = running;
    if (!first) throw new Error('none');
    expect(coversAfter([first, over, ...rest], next)).toEqual([...running, next]);
    // One that ends this very instant is over.
    expect(coversAfter([first, { ...over, until: at }, ...rest], next)).toEqual([...running, next]);
  });
});

describe('what is to come of covers', () => {
  const early = cover('ina', 'teo', '21:00', '22:00', { startNotified: false });
  const late = cover('zoe', 'teo', '20:00', '23:00');
  it('is what stands or begins, the earliest first', () => {
    expect(coversFrom([early, late], wall('20:30'))).toEqual([late, early]);
    expect(coversFrom([early, late], wall('21:59'))).toEqual([late, early]);
    expect(coversFrom([early, late], wall('22:00'))).toEqual([late]);
  });

  const steps = (covers: Cover[], now: string) =>
    coverStepsAt(covers, wall(now)).map((step) => `${clock(step.at)} ${step.cover.away} ${step.what}`);

  it('people are told of the earliest first', () => {
    expect(steps([late, early], '20:30')).toEqual(['21:00 ina begun', '22:00 ina over', '23:00 zoe over']);
  });

  it.each<[string, Cover[], string, string[]]>([
    ['begun, while it stands', [early], '21:59', ['21:00 ina begun', '22:00 ina over']],
    ['over, for an hour', [early], '22:59', ['22:00 ina over']],
    ['nothing after that', [early], '23:00', []],
    ['nothing that was told', [{ ...early, startNotified: true, endNotified: true }], '21:30', []],
    [
      'not over while another stands for them',
      [early, cover('ina', 'olga', '22:00', '23:30')],
      '22:10',
      ['23:30 ina over'],
    ],
    [
      'of two that ended the later',
      [early, cover('ina', 'olga', '22:10', '22:20')],
      '22:30',
      ['22:20 ina over'],
    ],
    [
      'over in between, while the later has not ended',
      [early, cover('ina', 'olga', '22:10', '22:20')],
      '22:05',
      ['22:00 ina over', '22:20 ina over'],
    ],
    [
      'over, whatever ended of somebody else',
      [early, cover('zoe', 'olga', '22:05', '22:20', { endNotified: true })],
      '22:30',
      ['22:00 ina over'],
    ],
  ])('%s', (_what, covers, now, expected) => {
    expect(steps(covers, now)).toEqual(expected);
  });
});
