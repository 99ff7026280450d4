import { Settings } from 'luxon';
import { afterEach, describe, expect, it } from 'vitest';
import { wallClock, wallClockWithDay } from '../../../src/domain/shifts/wall-clock.ts';

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
