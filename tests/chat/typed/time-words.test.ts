import { Temporal } from 'temporal-polyfill';
import { describe, expect, it } from 'vitest';
import { timeFromWords } from '../../../src/chat/typed/time-words.ts';
import * as fc from '../../support/properties.ts';

const berlin = 'Europe/Berlin';
const at = (iso: string) => Date.parse(iso);

/** What is told at `now` in Berlin by `text`: the instant in UTC, or the problem; and the words left over. */
function told(text: string, now: string, zone = berlin): string {
  const time = timeFromWords(text.split(' '), { now: at(now), zone });
  if ('problem' in time) return time.problem;
  return [new Date(time.at).toISOString().slice(0, 16), ...time.rest].join(' ');
}

describe('timeFromWords', () => {
  // Wed 25 Nov 2026, 04:10 in Berlin (UTC+1).
  it.each([
    ['1 mL', '2026-11-25T03:10 1 mL'],
    ['now', '2026-11-25T03:10'],
    ['at 02:10', '2026-11-25T01:10'],
    ['at 2:10', '2026-11-25T01:10'],
    ['02:10', '2026-11-25T01:10'],
    ['at 0210', '2026-11-25T01:10'],
    ['1 mL at 02:10 swelling', '2026-11-25T01:10 1 mL swelling'],
    ['04:11', '2026-11-25T03:11'],
    ['04:13', '2026-11-24T03:13'],
    ['23:50', '2026-11-24T22:50'],
    ['yesterday 23:50', '2026-11-24T22:50'],
    ['23:50 yesterday', '2026-11-24T22:50'],
    ['yesterday at 02:10', '2026-11-24T01:10'],
    ['today 02:10', '2026-11-25T01:10'],
    ['20 min ago', '2026-11-25T02:50'],
    ['20min ago', '2026-11-25T02:50'],
    ['1 h ago', '2026-11-25T02:10'],
    ['1 h 20 min ago', '2026-11-25T01:50'],
    ['1,5 h ago', '2026-11-25T01:40'],
    ['an hour ago', '2026-11-25T02:10'],
    ['half an hour ago', '2026-11-25T02:40'],
    ['bag at 300 mmHg', '2026-11-25T03:10 bag at 300 mmHg'],
    ['at 1200 mL', '2026-11-25T03:10 at 1200 mL'],
    ['first second', '2026-11-25T03:10 first second'],
  ])('takes %j at 04:10 in Berlin as %s', (text, expected) => {
    expect(told(text, '2026-11-25T03:10Z')).toBe(expected);
  });

  it.each([
    ['today 23:50', '23:50 today is still to come: it is 04:10 now. Write a time that has been.'],
    ['25:10', '“25:10” is not a time of day. Write 00:00 to 23:59, for example 02:10.'],
    ['12:75', '“12:75” is not a time of day. Write 00:00 to 23:59, for example 02:10.'],
    ['20 min', '“20 min”: write “20 min ago” if that is when it was.'],
    ['yesterday', '“yesterday” needs the time of day, for example “yesterday 23:50”.'],
    ['02:10 pm', '“02:10 pm”: write the time on the 24-hour clock with a colon, 14:10.'],
    ['02:10 03:10', 'Two times were given: “02:10” and “03:10”. Write one.'],
    ['400 h ago', '“400 h ago” is too long ago; at most 14 days are taken. Write a later time.'],
    ['02:10 first', '02:10 came only once today. Leave out “first”.'],
  ])('refuses %j at 04:10 in Berlin: %s', (text, problem) => {
    expect(told(text, '2026-11-25T03:10Z')).toBe(problem);
  });

  // Clocks in Berlin went from 02:00 to 03:00 on 29 March 2026 at 01:00Z (Directive 2000/84/EC).
  it.each([
    [
      '02:30',
      '02:30 did not exist today: the clocks were put forward over it. Write the time your clock showed.',
    ],
    ['01:59', '2026-03-29T00:59'],
    ['03:00', '2026-03-29T01:00'],
    ['yesterday 02:30', '2026-03-28T01:30'],
  ])('on the spring night takes %j at 06:00 as %j', (text, expected) => {
    expect(told(text, '2026-03-29T04:00Z')).toBe(expected);
  });

  it('before the spring gap still means the day before', () => {
    expect(told('02:30', '2026-03-29T00:30Z')).toBe('2026-03-28T01:30');
  });

  it('in the hour after the spring gap doesn’t mean the day before', () => {
    const problem =
      '02:30 did not exist today: the clocks were put forward over it. Write the time your clock showed.';
    expect(told('02:30', '2026-03-29T01:05Z')).toBe(problem);
    expect(told('02:01', '2026-03-29T01:00Z')).toBe(problem.replace('02:30', '02:01'));
  });

  // Clocks went from 03:00 back to 02:00 on 25 October 2026 at 01:00Z: 02:30 was at 00:30Z and at 01:30Z.
  it.each([
    ['02:30', '2026-10-25T04:00Z', '2026-10-25T01:30'],
    ['02:30', '2026-10-25T01:10Z', '2026-10-25T00:30'],
    ['02:30 first', '2026-10-25T04:00Z', '2026-10-25T00:30'],
    ['first 02:30', '2026-10-25T04:00Z', '2026-10-25T00:30'],
    ['02:30 second', '2026-10-25T04:00Z', '2026-10-25T01:30'],
    [
      '02:30 second',
      '2026-10-25T01:10Z',
      '02:30 (second) is still to come: it is 02:10 now. Write a time that has been.',
    ],
  ])('on the autumn night takes %j at %s as %j', (text, now, expected) => {
    expect(told(text, now)).toBe(expected);
  });

  it('finds the latest such reading that is not in the future, as Temporal does, in every zone', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...Intl.supportedValuesOf('timeZone')),
        fc.integer({ min: Date.UTC(2020, 0, 1) / 60_000, max: Date.UTC(2029, 11, 31) / 60_000 }),
        fc.integer({ min: 0, max: 23 }),
        fc.integer({ min: 0, max: 59 }),
        (zone, nowMinute, hour, minute) => {
          const now = nowMinute * 60_000;
          const text = `${String(hour).padStart(2, '0')}:${String(minute).padStart(2, '0')}`;
          const time = timeFromWords([text], { now, zone });
          const skipped = 'problem' in time && time.problem.includes('did not exist');
          expect('at' in time ? time.at : { skipped }).toEqual(
            byTemporal(zone, now, hour, minute) ?? { skipped: true },
          );
        },
      ),
      { numRuns: 3000 },
    );
  });

  it('takes any words at all', () => {
    const word = fc.oneof(
      fc.constantFrom(
        'at',
        '02:10',
        'yesterday',
        'first',
        'ago',
        '20',
        'min',
        'h',
        '1',
        'half',
        'an',
        'hour',
        '99999h',
        'today',
      ),
      fc.string({ unit: 'binary', maxLength: 12 }),
    );
    fc.assert(
      fc.property(fc.array(word, { maxLength: 40 }), (words) => {
        const time = timeFromWords(words, { now: at('2026-10-25T01:10Z'), zone: berlin });
        expect('at' in time ? time.at : 0).toBeLessThanOrEqual(at('2026-10-25T01:12Z'));
      }),
    );
  });
});

/**
 * The independent answer (temporal-polyfill): going back from tomorrow, the first day on which the reading had already
 * come, or had been skipped. It shares the runtime's tz data with the code under test, not its arithmetic.
 */
function byTemporal(zone: string, now: number, hour: number, minute: number): number | null {
  const latest = now + 120_000;
  const shown = Temporal.Instant.fromEpochMilliseconds(latest).toZonedDateTimeISO(zone).toPlainDateTime();
  const today = Temporal.Instant.fromEpochMilliseconds(now).toZonedDateTimeISO(zone).toPlainDate();
  for (let back = -1; back <= 3; back += 1) {
    const reading = today.subtract({ days: back }).toPlainDateTime({ hour, minute });
    const [first, second] = (['earlier', 'later'] as const).map((disambiguation) =>
      reading.toZonedDateTime(zone, { disambiguation }),
    );
    if (!first || !second) throw new Error('Temporal gave no reading');
    const exists = first.toPlainDateTime().equals(reading);
    const instants = [first, second].map((zoned) => zoned.epochMilliseconds).filter((ms) => ms <= latest);
    if (!exists) {
      // Skipped, once the clock shows a later time than this.
      if (Temporal.PlainDateTime.compare(reading, shown) <= 0) return null;
      continue;
    }
    if (instants.length > 0) return Math.max(...instants);
  }
  throw new Error('no reading in four days');
}
