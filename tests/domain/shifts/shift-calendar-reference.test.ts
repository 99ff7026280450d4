import { Temporal } from 'temporal-polyfill';
import { describe, expect, it } from 'vitest';
import { shiftStartsBetween } from '../../../src/domain/shifts/shift-calendar.ts';
import type { WallTime } from '../../../src/domain/shifts/wall-time.ts';

const DAY_MS = 86_400_000;
const HOUR_MS = 3_600_000;
const START_TIMES: WallTime[] = ['02:30', '07:00', '19:00'];
const shifts = START_TIMES.map((startsAt) => ({ name: startsAt, startsAt }));

// Source: temporal-polyfill 1.0.8, an implementation of Temporal that shares no code with luxon or with us.
// It does share the time zone *data* of the runtime (ICU, through Intl), so this proves our arithmetic, not the data.
// The rules further down are the check on the data.
describe('every shift start of 2020 to 2029 against Temporal', () => {
  const FIRST_DAY = Date.UTC(2020, 0, 1) / DAY_MS;
  const DAYS = Date.UTC(2030, 0, 1) / DAY_MS - FIRST_DAY;
  const ANCHOR_EVERY_DAYS = 31;
  const zones = [...Intl.supportedValuesOf('timeZone'), 'UTC'];

  it('agrees in every zone of the runtime, at 02:30, 07:00 and 19:00', { timeout: 120_000 }, () => {
    const wrong: string[] = [];
    let changes = 0;
    let startsAskedOfTemporal = 0;
    let startsAskedOfOthers = 0;
    // Zones whose offsets are the same all along, by Temporal: each start of one is looked at, of the others those near a
    // change and one day in 31, which have to be the same.
    const startsByOffsets = new Map<string, number[]>();
    for (const zone of zones) {
      const temporalMs = (dayIndex: number, time: WallTime) =>
        Temporal.PlainDate.from('2020-01-01')
          .add({ days: dayIndex })
          .toPlainDateTime(time)
          .toZonedDateTime(zone, { disambiguation: 'compatible' }).epochMilliseconds;
      const fromMs = temporalMs(0, '00:00') - 1;
      const toMs = temporalMs(DAYS, '00:00') - 1;

      const daysNearChange = new Set<number>();
      const offsets = [Temporal.Instant.fromEpochMilliseconds(fromMs).toZonedDateTimeISO(zone).offset];
      let change = Temporal.Instant.fromEpochMilliseconds(fromMs - 5 * DAY_MS)
        .toZonedDateTimeISO(zone)
        .getTimeZoneTransition('next');
      while (change && change.epochMilliseconds < toMs + 5 * DAY_MS) {
        changes += 1;
        offsets.push(`${change.epochMilliseconds} ${change.offset}`);
        const changeDay = Math.floor(change.epochMilliseconds / DAY_MS) - FIRST_DAY;
        for (let near = changeDay - 4; near <= changeDay + 4; near += 1) daysNearChange.add(near);
        change = change.getTimeZoneTransition('next');
      }

      const isAsked = (dayIndex: number) =>
        daysNearChange.has(dayIndex) || dayIndex % ANCHOR_EVERY_DAYS === 0;
      const alike = startsByOffsets.get(offsets.join());
      if (alike) {
        const each = START_TIMES.length;
        for (const dayIndex of Array.from({ length: DAYS }, (_, index) => index).filter(isAsked)) {
          const theirs = alike.slice(dayIndex * each, (dayIndex + 1) * each);
          const own = shiftStartsBetween({ zone, shifts }, (theirs[0] ?? 0) - 1, theirs.at(-1) ?? 0);
          if (own.join() !== theirs.join())
            wrong.push(`${zone}: other starts than a zone of the same offsets on day ${dayIndex}`);
          startsAskedOfOthers += own.length;
        }
        continue;
      }
      const ours = shiftStartsBetween({ zone, shifts }, fromMs, toMs);
      startsByOffsets.set(offsets.join(), ours);
      if (ours.length !== DAYS * START_TIMES.length) wrong.push(`${zone}: ${ours.length} starts`);
      for (const [index, startMs] of ours.entries()) {
        const dayIndex = Math.floor(index / START_TIMES.length);
        const time = START_TIMES[index % START_TIMES.length] ?? '02:30';
        // Far from a change, days are alike: there one day in 31 is asked of Temporal, and every other start has to
        // follow the one before it by exactly the hours between them on the wall, which leaves none unchecked.
        if (isAsked(dayIndex)) {
          startsAskedOfTemporal += 1;
          if (startMs !== temporalMs(dayIndex, time))
            wrong.push(`${zone}: ${new Date(startMs).toISOString()} for ${time}`);
        } else if (startMs - (ours[index - 1] ?? 0) !== wallMsBefore(time)) {
          wrong.push(`${zone}: ${new Date(startMs).toISOString()} at an odd distance for ${time}`);
        }
      }
    }
    expect(wrong.slice(0, 20)).toEqual([]);
    // Guards against a run that compared nothing: the runtime's tz data 2026c has 418 zones with 2,658 changes in these years.
    expect(zones.length).toBeGreaterThan(400);
    expect(changes).toBeGreaterThan(2_000);
    expect(startsByOffsets.size).toBeGreaterThan(70);
    expect(startsAskedOfTemporal).toBeGreaterThan(startsByOffsets.size * 100 * START_TIMES.length);
    const others = zones.length - startsByOffsets.size;
    expect(startsAskedOfOthers).toBeGreaterThan(others * 100 * START_TIMES.length);
  });

  function wallMsBefore(time: WallTime): number {
    const hours: Partial<Record<WallTime, number>> = { '02:30': 7.5, '07:00': 4.5, '19:00': 12 };
    return (hours[time] ?? Number.NaN) * HOUR_MS;
  }
});

type ChangeRule = (year: number) => { atMs: number; offsetHours: number };

const sundayOnOrAfter = (year: number, month: number, dayOfMonth: number) => {
  const first = Date.UTC(year, month - 1, dayOfMonth);
  return first + ((7 - new Date(first).getUTCDay()) % 7) * DAY_MS;
};
const lastSunday = (year: number, month: number) => sundayOnOrAfter(year, month + 1, 1) - 7 * DAY_MS;

// Source: the IANA tz database, release 2025b, files europe, northamerica, australasia and asia; each Rule is quoted.
// Worked out here with integers alone, so that neither Intl nor its data has a part in the expectation.
// Only years whose rules are history are used: what a parliament changes later cannot fail this test.
const PUBLISHED: { zone: string; rule: string; standardHours: number; changes: ChangeRule[] }[] = [
  {
    zone: 'Europe/Berlin',
    rule: 'EU 1981 max Mar lastSun 1:00u 1:00; EU 1996 max Oct lastSun 1:00u 0',
    standardHours: 1,
    changes: [
      (year) => ({ atMs: lastSunday(year, 3) + HOUR_MS, offsetHours: 2 }),
      (year) => ({ atMs: lastSunday(year, 10) + HOUR_MS, offsetHours: 1 }),
    ],
  },
  {
    zone: 'America/New_York',
    rule: 'US 2007 max Mar Sun>=8 2:00 1:00; US 2007 max Nov Sun>=1 2:00 0',
    standardHours: -5,
    changes: [
      (year) => ({ atMs: sundayOnOrAfter(year, 3, 8) + (2 + 5) * HOUR_MS, offsetHours: -4 }),
      (year) => ({ atMs: sundayOnOrAfter(year, 11, 1) + (2 + 4) * HOUR_MS, offsetHours: -5 }),
    ],
  },
  {
    zone: 'Australia/Sydney',
    rule: 'AN 2008 max Apr Sun>=1 2:00s 0; AN 2008 max Oct Sun>=1 2:00s 1:00',
    standardHours: 11,
    changes: [
      (year) => ({ atMs: sundayOnOrAfter(year, 4, 1) + (2 - 10) * HOUR_MS, offsetHours: 10 }),
      (year) => ({ atMs: sundayOnOrAfter(year, 10, 1) + (2 - 10) * HOUR_MS, offsetHours: 11 }),
    ],
  },
  {
    zone: 'Australia/Lord_Howe',
    rule: 'LH 2008 max Apr Sun>=1 2:00 0; LH 2008 max Oct Sun>=1 2:00 0:30',
    standardHours: 11,
    changes: [
      (year) => ({ atMs: sundayOnOrAfter(year, 4, 1) + (2 - 11) * HOUR_MS, offsetHours: 10.5 }),
      (year) => ({ atMs: sundayOnOrAfter(year, 10, 1) + (2 - 10.5) * HOUR_MS, offsetHours: 11 }),
    ],
  },
  {
    zone: 'Pacific/Chatham',
    rule: 'Chatham 2008 max Apr Sun>=1 2:45s 0; Chatham 2007 max Sep lastSun 2:45s 1:00',
    standardHours: 13.75,
    changes: [
      (year) => ({ atMs: sundayOnOrAfter(year, 4, 1) + (2.75 - 12.75) * HOUR_MS, offsetHours: 12.75 }),
      (year) => ({ atMs: lastSunday(year, 9) + (2.75 - 12.75) * HOUR_MS, offsetHours: 13.75 }),
    ],
  },
  {
    zone: 'Asia/Beirut',
    rule: 'Lebanon 1993 max Mar lastSun 0:00 1:00; Lebanon 1999 max Oct lastSun 0:00 0',
    standardHours: 2,
    changes: [
      (year) => ({ atMs: lastSunday(year, 3) - 2 * HOUR_MS, offsetHours: 3 }),
      (year) => ({ atMs: lastSunday(year, 10) - 3 * HOUR_MS, offsetHours: 2 }),
    ],
  },
  { zone: 'Asia/Kolkata', rule: 'none since 1945: 5:30', standardHours: 5.5, changes: [] },
  { zone: 'America/Phoenix', rule: 'none since 1968: -7:00', standardHours: -7, changes: [] },
];

describe('every shift start of 2020 to 2025 against the published clock-change rules', () => {
  it.each(PUBLISHED)('agrees in $zone ($rule)', ({ zone, standardHours, changes }) => {
    const allChanges = [2020, 2021, 2022, 2023, 2024, 2025].flatMap((year) =>
      changes.map((change) => change(year)),
    );
    /** First of two, and a gap kept on with the offset before it: the rule under test, from the published changes. */
    const meantBy = (readingMs: number): number => {
      let offsetHours = standardHours;
      for (const change of allChanges) {
        const underOldMs = readingMs - offsetHours * HOUR_MS;
        if (underOldMs < change.atMs) return underOldMs;
        if (readingMs - change.offsetHours * HOUR_MS < change.atMs) return underOldMs;
        offsetHours = change.offsetHours;
      }
      return readingMs - offsetHours * HOUR_MS;
    };
    const expected: number[] = [];
    for (let day = Date.UTC(2020, 0, 2); day <= Date.UTC(2025, 11, 30); day += DAY_MS) {
      for (const hours of [2.5, 7, 19]) expected.push(meantBy(day + hours * HOUR_MS));
    }
    const first = expected[0] ?? Number.NaN;
    const last = expected.at(-1) ?? Number.NaN;
    expect(shiftStartsBetween({ zone, shifts }, first - 1, last)).toEqual(expected);
  });
});
