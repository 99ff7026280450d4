import { Settings } from 'luxon';
import { Temporal } from 'temporal-polyfill';
import { afterEach, describe, expect, it } from 'vitest';
import { wallClock, wallClockWithDay } from '../../../src/domain/shifts/wall-clock.ts';
import * as fc from '../../support/properties.ts';

// Expected readings: IANA tz database rules (see shift-calendar-reference.test.ts) and a paper calendar for weekdays.
describe('wallClock', () => {
  it.each([
    ['Europe/Berlin', '2026-11-24T18:00Z', '19:00'],
    ['Europe/Berlin', '2026-03-29T00:59:59.999Z', '01:59'],
    ['Europe/Berlin', '2026-03-29T01:00Z', '03:00'],
    ['Asia/Kolkata', '2026-11-24T18:30Z', '00:00'],
    ['America/New_York', '2026-07-01T11:05Z', '07:05'],
    ['UTC', '2026-07-01T11:05Z', '11:05'],
  ])('in %s at %s shows %s', (zone, instant, shown) => {
    expect(wallClock(zone, Date.parse(instant))).toBe(shown);
  });
});

describe('wallClockWithDay', () => {
  it.each([
    ['Europe/Berlin', '2026-11-24T18:00Z', 'Tue 24 Nov 19:00'],
    ['Europe/Berlin', '2026-09-05T05:00Z', 'Sat 5 Sep 07:00'],
    ['Europe/Berlin', '2026-10-24T23:59Z', 'Sun 25 Oct 01:59'],
    ['Europe/Berlin', '2026-10-25T00:00Z', 'Sun 25 Oct 02:00 (first, UTC+2)'],
    ['Europe/Berlin', '2026-10-25T00:30Z', 'Sun 25 Oct 02:30 (first, UTC+2)'],
    ['Europe/Berlin', '2026-10-25T01:30Z', 'Sun 25 Oct 02:30 (second, UTC+1)'],
    ['Europe/Berlin', '2026-10-25T02:00Z', 'Sun 25 Oct 03:00'],
    ['Europe/Berlin', '2026-03-29T01:30Z', 'Sun 29 Mar 03:30'],
    ['Europe/London', '2026-10-25T00:30Z', 'Sun 25 Oct 01:30 (first, UTC+1)'],
    ['Europe/London', '2026-10-25T01:30Z', 'Sun 25 Oct 01:30 (second, UTC+0)'],
    ['America/New_York', '2026-11-01T05:30Z', 'Sun 1 Nov 01:30 (first, UTC−4)'],
    ['America/New_York', '2026-11-01T06:30Z', 'Sun 1 Nov 01:30 (second, UTC−5)'],
    ['Australia/Lord_Howe', '2026-04-04T14:45Z', 'Sun 5 Apr 01:45 (first, UTC+11)'],
    ['Australia/Lord_Howe', '2026-04-04T15:15Z', 'Sun 5 Apr 01:45 (second, UTC+10:30)'],
    ['Asia/Beirut', '2026-10-24T21:30Z', 'Sat 24 Oct 23:30 (second, UTC+2)'],
    ['America/St_Johns', '2026-11-01T03:35Z', 'Sun 1 Nov 01:05 (first, UTC−2:30)'],
  ])('in %s at %s shows %s', (zone, instant, shown) => {
    expect(wallClockWithDay(zone, Date.parse(instant))).toBe(shown);
  });

  describe('when the machine speaks Arabic', () => {
    const usual = Settings.defaultLocale;
    afterEach(() => {
      Settings.defaultLocale = usual;
    });
    it('still shows the same words and digits', () => {
      Settings.defaultLocale = 'ar-EG';
      expect(wallClockWithDay('Europe/Berlin', Date.parse('2026-11-24T18:00Z'))).toBe('Tue 24 Nov 19:00');
    });
  });

  it('throws rather than show a clock that does not exist', () => {
    expect(() => wallClock('Europe/Atlantis', 0)).toThrow(
      /No clock reading for instant 0 in zone "Europe\/Atlantis"/,
    );
    expect(() => wallClockWithDay('UTC', Number.NaN)).toThrow(RangeError);
  });
});

// Source: temporal-polyfill 1.0.8, which shares no code with us; weekdays and months as English writes them short.
it('shows in every zone what Temporal shows, also within the hours around a clock change', () => {
  const day = new Intl.DateTimeFormat('en-GB', { weekday: 'short', timeZone: 'UTC' });
  const month = new Intl.DateTimeFormat('en-US', { month: 'short', timeZone: 'UTC' });
  const zones = [...Intl.supportedValuesOf('timeZone'), 'UTC'];
  const instants = fc.integer({ min: Date.UTC(1975, 0, 1), max: Date.UTC(2036, 0, 1) });
  const hoursOff = fc.integer({ min: -26 * 3_600_000, max: 26 * 3_600_000 });
  fc.assert(
    fc.property(fc.constantFrom(...zones), instants, fc.boolean(), hoursOff, (zone, from, near, off) => {
      const change = Temporal.Instant.fromEpochMilliseconds(from)
        .toZonedDateTimeISO(zone)
        .getTimeZoneTransition('next');
      const atMs = near && change ? change.epochMilliseconds + off : from;
      const shown = Temporal.Instant.fromEpochMilliseconds(atMs).toZonedDateTimeISO(zone);
      const asUtc = Date.UTC(shown.year, shown.month - 1, shown.day);
      const clock = `${String(shown.hour).padStart(2, '0')}:${String(shown.minute).padStart(2, '0')}`;
      expect(wallClock(zone, atMs)).toBe(clock);
      expect(wallClockWithDay(zone, atMs).replace(/ \(.*/, '')).toBe(
        `${day.format(asUtc)} ${shown.day} ${month.format(asUtc)} ${clock}`,
      );
    }),
  );
});
