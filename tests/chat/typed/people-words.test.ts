import { describe, expect, it } from 'vitest';
import { assignFromWords } from '../../../src/chat/typed/assign-words.ts';
import { coverFromWords } from '../../../src/chat/typed/cover-words.ts';
import { wall, wardZone } from '../../support/line-builder.ts';

const ina = '<@U0INA|ina>';
const teo = '<@U0TEO>';

describe('assignFromWords', () => {
  const biscuit = { patient: 'Biscuit' };
  it.each([
    [`Biscuit ${ina}`, { whose: biscuit, next: false }],
    [`Biscuit to ${ina} now`, { whose: biscuit, next: false }],
    [`Biscuit ${ina} next shift`, { whose: biscuit, next: true }],
    [`Biscuit ${ina} for the coming shift`, { whose: biscuit, next: true }],
    [
      `biscuit left radial ${ina} from next shift.`,
      { whose: { patient: 'biscuit left radial' }, next: true },
    ],
    [`all ${ina}`, { whose: 'all', next: false }],
    [`All lines to ${ina}, next shift`, { whose: 'all', next: true }],
    // A patient may be called so; then the name is written in quotes.
    [`"All" ${ina}`, { whose: { patient: '"All"' }, next: false }],
  ])('reads “%s”', (words, expected) => {
    expect(assignFromWords(words, '/artline')).toEqual({ is: 'ok', nurse: 'U0INA', ...expected });
  });

  it('asks for the form without a person, and for the line without a patient', () => {
    expect(assignFromWords('', '/artline')).toEqual({ is: 'form', patient: '' });
    expect(assignFromWords('Biscuit', '/artline')).toEqual({ is: 'form', patient: 'Biscuit' });
    expect(assignFromWords(ina, '/artline')).toHaveProperty('is', 'wrong');
    expect(assignFromWords(`Biscuit ${ina} ${teo}`, '/artline')).toHaveProperty('is', 'wrong');
  });
});

describe('coverFromWords', () => {
  const read = (words: string, now = '20:00') =>
    coverFromWords(words, { now: wall(now), zone: wardZone }, '/artline');

  it.each<[string, string | null]>([
    [`${ina} by ${teo}`, null],
    [`${ina} ${teo} until 07:00`, '2026-11-25 07:00'],
    [`${ina} by ${teo} until 23:30`, '2026-11-24 23:30'],
    [`${ina} by ${teo}, until tomorrow 23:30`, '2026-11-25 23:30'],
    [`${ina} by ${teo} 20:00`, '2026-11-25 20:00'],
    [`${ina} by ${teo} from now to 06:00`, '2026-11-25 06:00'],
    // Said a moment later, or at that very minute.
    [`${ina} by ${teo} from 19:50 until 06:00`, '2026-11-25 06:00'],
    [`${ina} by ${teo} from 20:00 until 06:00`, '2026-11-25 06:00'],
  ])('reads “%s” with the next such time', (words, until) => {
    expect(read(words)).toEqual({
      is: 'ok',
      away: 'U0INA',
      by: 'U0TEO',
      from: null,
      until: until === null ? null : wall(until),
    });
  });

  it.each<[string, string, string | null]>([
    [`${ina} by ${teo} from 02:00 until 06:00`, '2026-11-25 02:00', '2026-11-25 06:00'],
    [`${ina} by ${teo} until 06:00, from 02:00.`, '2026-11-25 02:00', '2026-11-25 06:00'],
    [`${ina} ${teo} from 22:00 to 21:00`, '2026-11-24 22:00', '2026-11-25 21:00'],
    [`${ina} by ${teo} from tomorrow 19:00 until 07:00`, '2026-11-25 19:00', '2026-11-26 07:00'],
    [`${ina} by ${teo} from tomorrow 09:00 until tomorrow 17:00`, '2026-11-25 09:00', '2026-11-25 17:00'],
    [`${ina} by ${teo} from 23:00`, '2026-11-24 23:00', null],
    [`${ina} by ${teo} from 19:40 until 20:30`, '2026-11-25 19:40', '2026-11-25 20:30'],
  ])('reads “%s” with a beginning to come and the end after it', (words, from, until) => {
    expect(read(words)).toMatchObject({
      is: 'ok',
      from: wall(from),
      until: until === null ? null : wall(until),
    });
  });

  it.each([
    `${ina} by ${teo} from 25:00 until 06:00`,
    `${ina} by ${teo} from until 06:00`,
    `${ina} by ${teo} from 02:00 from 03:00`,
    `${ina} by ${teo} 02:00 until 06:00`,
    `${ina} by ${teo} from 02:00 06:00`,
  ])('asks anew for what is not clear: “%s”', (words) => {
    expect(read(words)).toMatchObject({
      is: 'wrong',
      message: expect.stringContaining('from 02:00 until 06:00'),
    });
  });

  // Clocks in Berlin go forward on 29 March 2026 at 02:00: 02:30 is shown nowhere and means 03:30, as of shift starts.
  it('begins an hour later where the clock skips the beginning', () => {
    const now = Date.parse('2026-03-28T20:00:00Z');
    const told = coverFromWords(
      `${ina} by ${teo} from 02:30 until 06:00`,
      { now, zone: wardZone },
      '/artline',
    );
    expect(told).toMatchObject({
      from: Date.parse('2026-03-29T01:30:00Z'),
      until: Date.parse('2026-03-29T04:00:00Z'),
    });
  });

  // Clocks in Berlin go back on 25 October 2026 at 03:00: 02:30 comes first at 00:30 UTC.
  it('means the first of a time that comes twice', () => {
    expect(read(`${ina} by ${teo} until 02:30`, '2026-10-24 23:00')).toHaveProperty(
      'until',
      Date.parse('2026-10-25T00:30:00Z'),
    );
  });

  it('means the second of a time that comes twice once the first is past', () => {
    const now = Date.parse('2026-10-25T01:10:00Z');
    const told = coverFromWords(`${ina} by ${teo} until 02:30`, { now, zone: wardZone }, '/artline');
    expect(told).toHaveProperty('until', Date.parse('2026-10-25T01:30:00Z'));
  });

  it('reads who is back, and asks for the form where too little was said', () => {
    expect(read(`${ina} back`)).toEqual({ is: 'back', away: 'U0INA' });
    expect(read(`${ina} by ${ina}`)).toEqual({ is: 'back', away: 'U0INA' });
    expect(read('')).toEqual({ is: 'form' });
    expect(read(ina)).toEqual({ is: 'form', away: 'U0INA' });
  });
});
