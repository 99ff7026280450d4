import { Temporal } from 'temporal-polyfill';
import { describe, expect, it } from 'vitest';
import {
  nextShiftStart,
  previousShift,
  type Shift,
  shiftAt,
  shiftStartsBetween,
} from '../../../src/domain/shifts/shift-calendar.ts';
import type { ShiftPlan } from '../../../src/domain/shifts/shift-plan.ts';
import type { WallTime } from '../../../src/domain/shifts/wall-time.ts';
import * as fc from '../../support/properties.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

function plan(zone: string, ...startTimes: WallTime[]): ShiftPlan {
  return { zone, shifts: startTimes.map((startsAt) => ({ name: startsAt, startsAt })) };
}

function told(shift: Shift) {
  const utc = (atMs: number) => new Date(atMs).toISOString().slice(0, 16);
  return {
    name: shift.name,
    from: utc(shift.startMs),
    to: utc(shift.endMs),
    hours: (shift.endMs - shift.startMs) / HOUR_MS,
  };
}

// Instants worked out by hand from the rules of the IANA tz database (files europe, northamerica, australasia,
// southamerica, asia), which are quoted beside each zone. Shifts carry their planned start as their name.
describe('shiftAt on the nights when clocks change', () => {
  it.each<[string, string, WallTime[], string, string, string, string, number]>([
    // Rule EU: Mar lastSun 1:00u, Oct lastSun 1:00u.
    [
      'a night into summer',
      'Europe/Berlin',
      ['07:00', '19:00'],
      '2026-03-29T00:00Z',
      '19:00',
      '2026-03-28T18:00',
      '2026-03-29T05:00',
      11,
    ],
    [
      'a night into winter',
      'Europe/Berlin',
      ['07:00', '19:00'],
      '2026-10-25T00:00Z',
      '19:00',
      '2026-10-24T17:00',
      '2026-10-25T06:00',
      13,
    ],
    [
      'the day after',
      'Europe/Berlin',
      ['07:00', '19:00'],
      '2026-10-25T06:00Z',
      '07:00',
      '2026-10-25T06:00',
      '2026-10-25T18:00',
      12,
    ],
    [
      'a skipped start',
      'Europe/Berlin',
      ['02:30', '14:30'],
      '2026-03-29T02:00Z',
      '02:30',
      '2026-03-29T01:30',
      '2026-03-29T12:30',
      11,
    ],
    [
      'a start that comes twice',
      'Europe/Berlin',
      ['02:30', '14:30'],
      '2026-10-25T01:00Z',
      '02:30',
      '2026-10-25T00:30',
      '2026-10-25T13:30',
      13,
    ],
    [
      'the one shift of a short day',
      'Europe/Berlin',
      ['07:00'],
      '2026-03-28T12:00Z',
      '07:00',
      '2026-03-28T06:00',
      '2026-03-29T05:00',
      23,
    ],
    [
      'the one shift of a long day',
      'Europe/Berlin',
      ['07:00'],
      '2026-10-24T12:00Z',
      '07:00',
      '2026-10-24T05:00',
      '2026-10-25T06:00',
      25,
    ],
    // Rule US: Mar Sun>=8 2:00, Nov Sun>=1 2:00.
    [
      'a night into summer',
      'America/New_York',
      ['07:00', '19:00'],
      '2026-03-08T08:00Z',
      '19:00',
      '2026-03-08T00:00',
      '2026-03-08T11:00',
      11,
    ],
    [
      'a night into winter',
      'America/New_York',
      ['07:00', '19:00'],
      '2026-11-01T08:00Z',
      '19:00',
      '2026-10-31T23:00',
      '2026-11-01T12:00',
      13,
    ],
    [
      'a start that comes twice',
      'America/New_York',
      ['01:30', '13:30'],
      '2026-11-01T06:30Z',
      '01:30',
      '2026-11-01T05:30',
      '2026-11-01T18:30',
      13,
    ],
    // Rule AN: Apr Sun>=1 2:00s, Oct Sun>=1 2:00s.
    [
      'a night into winter',
      'Australia/Sydney',
      ['07:00', '19:00'],
      '2026-04-04T16:00Z',
      '19:00',
      '2026-04-04T08:00',
      '2026-04-04T21:00',
      13,
    ],
    [
      'a night into summer',
      'Australia/Sydney',
      ['07:00', '19:00'],
      '2026-10-03T16:00Z',
      '19:00',
      '2026-10-03T09:00',
      '2026-10-03T20:00',
      11,
    ],
    // Rule LH: Apr Sun>=1 2:00 0, Oct Sun>=1 2:00 0:30.
    [
      'a night half an hour longer',
      'Australia/Lord_Howe',
      ['07:00', '19:00'],
      '2026-04-04T15:00Z',
      '19:00',
      '2026-04-04T08:00',
      '2026-04-04T20:30',
      12.5,
    ],
    [
      'a night half an hour shorter',
      'Australia/Lord_Howe',
      ['07:00', '19:00'],
      '2026-10-03T15:30Z',
      '19:00',
      '2026-10-03T08:30',
      '2026-10-03T20:00',
      11.5,
    ],
    [
      'a skipped start',
      'Australia/Lord_Howe',
      ['02:10', '14:10'],
      '2026-10-03T16:00Z',
      '02:10',
      '2026-10-03T15:40',
      '2026-10-04T03:10',
      11.5,
    ],
    [
      'a start that comes twice',
      'Australia/Lord_Howe',
      ['01:45', '13:45'],
      '2026-04-04T15:15Z',
      '01:45',
      '2026-04-04T14:45',
      '2026-04-05T03:15',
      12.5,
    ],
    // Rule Brazil: 2018 only Nov Sun>=1 0:00 1:00; 2016 2019 Feb Sun>=15 0:00 0.
    [
      'a midnight that is skipped',
      'America/Sao_Paulo',
      ['00:00', '12:00'],
      '2018-11-04T03:00Z',
      '00:00',
      '2018-11-04T03:00',
      '2018-11-04T14:00',
      11,
    ],
    [
      'a last hour that comes twice',
      'America/Sao_Paulo',
      ['11:30', '23:30'],
      '2018-02-18T02:45Z',
      '23:30',
      '2018-02-18T01:30',
      '2018-02-18T14:30',
      13,
    ],
    // Rule Lebanon: Mar lastSun 0:00 1:00, Oct lastSun 0:00 0.
    [
      'a quarter past a skipped midnight',
      'Asia/Beirut',
      ['00:15', '12:15'],
      '2026-03-28T23:00Z',
      '00:15',
      '2026-03-28T22:15',
      '2026-03-29T09:15',
      11,
    ],
    [
      'a last hour that comes twice',
      'Asia/Beirut',
      ['11:30', '23:30'],
      '2026-10-24T21:30Z',
      '23:30',
      '2026-10-24T20:30',
      '2026-10-25T09:30',
      13,
    ],
    // Zone Pacific/Apia: -11:00 with summer time until 2011 Dec 29 24:00, then 13:00 with summer time.
    [
      'the night over a day that never was',
      'Pacific/Apia',
      ['07:00', '19:00'],
      '2011-12-30T10:00Z',
      '19:00',
      '2011-12-30T05:00',
      '2011-12-30T17:00',
      12,
    ],
    // Zone Pacific/Kwajalein: -12:00 until 1993 Aug 20 24:00, then 12:00.
    [
      'the night over a day that never was',
      'Pacific/Kwajalein',
      ['07:00', '19:00'],
      '1993-08-21T12:00Z',
      '19:00',
      '1993-08-21T07:00',
      '1993-08-21T19:00',
      12,
    ],
    // The same zone, 1969 Oct: 11:00 before, -12:00 after, so that 23 hours come twice and the first of them count.
    [
      'a night with a day inside it',
      'Pacific/Kwajalein',
      ['07:00', '19:00'],
      '1969-10-01T00:00Z',
      '19:00',
      '1969-09-30T08:00',
      '1969-10-01T19:00',
      35,
    ],
  ])('gives %s in %s starting %j', (_what, zone, startTimes, instant, name, from, to, hours) => {
    expect(told(shiftAt(plan(zone, ...startTimes), Date.parse(instant)))).toEqual({ name, from, to, hours });
  });
});

describe('shiftAt when a skipped start lands on or after a later one', () => {
  it('leaves out the shift that would last nothing', () => {
    const ward = plan('Europe/Berlin', '02:30', '03:30', '14:00');
    const change = Date.parse('2026-03-29T01:30Z');
    expect(told(shiftAt(ward, change))).toEqual({
      name: '03:30',
      from: '2026-03-29T01:30',
      to: '2026-03-29T12:00',
      hours: 10.5,
    });
    expect(told(shiftAt(ward, change - 1))).toEqual({
      name: '14:00',
      from: '2026-03-28T13:00',
      to: '2026-03-29T01:30',
      hours: 12.5,
    });
    expect(told(shiftAt(ward, change + DAY_MS - HOUR_MS)).name).toBe('02:30');
  });

  it('leaves out the shift that would end before it starts', () => {
    const ward = plan('Europe/Berlin', '02:30', '03:10', '14:00');
    expect(told(shiftAt(ward, Date.parse('2026-03-29T01:30Z')))).toEqual({
      name: '03:10',
      from: '2026-03-29T01:10',
      to: '2026-03-29T12:00',
      hours: 650 / 60,
    });
  });

  it('keeps a skipped start that still comes before the next', () => {
    const ward = plan('Europe/Berlin', '02:30', '03:40', '14:00');
    expect(told(shiftAt(ward, Date.parse('2026-03-29T01:30Z')))).toEqual({
      name: '02:30',
      from: '2026-03-29T01:30',
      to: '2026-03-29T01:40',
      hours: 10 / 60,
    });
  });

  it('holds each shift of the day after a skipped day once', () => {
    const starts = shiftStartsBetween(
      plan('Pacific/Apia', '07:00', '19:00'),
      Date.parse('2011-12-30T00:00Z'),
      Date.parse('2011-12-31T06:00Z'),
    );
    expect(starts.map((startMs) => new Date(startMs).toISOString())).toEqual([
      '2011-12-30T05:00:00.000Z',
      '2011-12-30T17:00:00.000Z',
      '2011-12-31T05:00:00.000Z',
    ]);
  });
});

describe('shiftStartsBetween', () => {
  const ward = plan('UTC', '19:00', '07:00');
  const seven = Date.UTC(2026, 10, 24, 7);
  it('leaves out a start at the beginning of the range and takes one at its end', () => {
    expect(shiftStartsBetween(ward, seven, seven + DAY_MS)).toEqual([seven + 12 * HOUR_MS, seven + DAY_MS]);
  });
  it('is empty when the range is empty or backwards', () => {
    expect(shiftStartsBetween(ward, seven, seven)).toEqual([]);
    expect(shiftStartsBetween(ward, seven + DAY_MS, seven)).toEqual([]);
  });
});

describe('when the instant is not a date', () => {
  it('throws and names the instant', () => {
    const ward = plan('UTC', '07:00');
    for (const bad of [Number.NaN, Number.POSITIVE_INFINITY, 1e20]) {
      expect(() => shiftAt(ward, bad)).toThrow(RangeError);
      expect(() => shiftStartsBetween(ward, 0, bad)).toThrow(RangeError);
    }
    expect(() => shiftAt({ zone: 'UTC', shifts: [] }, 0)).toThrow('the plan has 0 shifts');
  });
});

const HOURS = Array.from({ length: 24 }, (_, hour) => String(hour).padStart(2, '0'));
const MINUTES = ['00', '05', '10', '15', '30', '45', '50', '59'];
const wallTimes = fc.constantFrom(
  ...HOURS.flatMap((hour) => MINUTES.map((minute) => `${hour}:${minute}` as WallTime)),
);
const nightTimes = fc.constantFrom<WallTime>(
  '00:00',
  '00:30',
  '01:30',
  '02:00',
  '02:10',
  '02:30',
  '03:00',
  '03:10',
  '03:30',
  '23:30',
  '23:59',
);
const startTimes = fc.uniqueArray(fc.oneof(wallTimes, nightTimes), { minLength: 1, maxLength: 4 });
const EARLIEST_MS = Date.UTC(1970, 0, 10);
const LATEST_MS = Date.UTC(2037, 11, 1);

/** A plan and an instant, mostly within four days of a clock change (Temporal says when), else anywhere in 1970–2037. */
const plansAndInstants = fc
  .record({
    zone: fc.constantFrom(
      ...Intl.supportedValuesOf('timeZone'),
      'Pacific/Apia',
      'Pacific/Kwajalein',
      'Australia/Lord_Howe',
    ),
    startTimes,
    seed: fc.integer({ min: EARLIEST_MS, max: LATEST_MS }),
    nearMinutes: fc.integer({ min: -4 * 24 * 60, max: 4 * 24 * 60 }),
  })
  .map(({ zone, startTimes: times, seed, nearMinutes }) => {
    const change = Temporal.Instant.fromEpochMilliseconds(seed)
      .toZonedDateTimeISO(zone)
      .getTimeZoneTransition('next');
    const changeMs = change?.epochMilliseconds ?? LATEST_MS;
    return {
      ward: plan(zone, ...times),
      atMs: changeMs < LATEST_MS ? changeMs + nearMinutes * 60_000 : seed,
    };
  });

describe('shifts around any instant in any zone', () => {
  it('follow each other without gap or overlap', () => {
    fc.assert(
      fc.property(plansAndInstants, ({ ward, atMs }) => {
        const shift = shiftAt(ward, atMs);
        expect(shift.startMs).toBeLessThanOrEqual(atMs);
        expect(shift.endMs).toBeGreaterThan(atMs);
        expect(shiftAt(ward, shift.startMs)).toEqual(shift);
        expect(shiftAt(ward, shift.endMs - 1)).toEqual(shift);
        expect(shiftAt(ward, shift.endMs).startMs).toBe(shift.endMs);
        expect(nextShiftStart(ward, atMs)).toBe(shift.endMs);
        expect(previousShift(ward, atMs).endMs).toBe(shift.startMs);
        expect(previousShift(ward, shift.endMs)).toEqual(shift);
      }),
      { numRuns: 600 },
    );
  });

  it('start where shiftStartsBetween says, however the range is cut', () => {
    fc.assert(
      fc.property(
        plansAndInstants,
        fc.integer({ min: 0, max: 6 * 24 * 60 }),
        ({ ward, atMs }, cutMinutes) => {
          const fromMs = atMs - 3 * DAY_MS;
          const toMs = atMs + 3 * DAY_MS;
          const walked: number[] = [];
          for (
            let startMs = nextShiftStart(ward, fromMs);
            startMs <= toMs;
            startMs = nextShiftStart(ward, startMs)
          ) {
            walked.push(startMs);
          }
          expect(shiftStartsBetween(ward, fromMs, toMs)).toEqual(walked);
          const cutMs = fromMs + cutMinutes * 60_000;
          expect([
            ...shiftStartsBetween(ward, fromMs, cutMs),
            ...shiftStartsBetween(ward, cutMs, toMs),
          ]).toEqual(walked);
        },
      ),
      { numRuns: 300 },
    );
  });

  it('come in the order of the plan, skipping only those that a clock change leaves no time', () => {
    fc.assert(
      fc.property(plansAndInstants, ({ ward, atMs }) => {
        expect(shiftAt(ward, atMs)).toEqual(shiftByDefinition(ward, atMs));
      }),
      { numRuns: 600 },
    );
  });

  it('are the same whatever was asked of a plan before, in any order of times', () => {
    const year = { min: Date.UTC(2026, 0, 1), max: Date.UTC(2028, 0, 1) };
    fc.assert(
      fc.property(plansAndInstants, fc.array(fc.integer(year), { minLength: 2 }), ({ ward }, asked) => {
        for (const atMs of asked) expect(shiftAt(ward, atMs)).toEqual(shiftAt({ ...ward }, atMs));
      }),
    );
  });
});

/** The rule of the decision page word for word, with Temporal (temporal-polyfill) doing all the calendar work. */
function shiftByDefinition(ward: ShiftPlan, atMs: number): Shift {
  const today = Temporal.Instant.fromEpochMilliseconds(atMs).toZonedDateTimeISO(ward.zone).toPlainDate();
  const inPlanOrder = [-5, -4, -3, -2, -1, 0, 1, 2, 3, 4, 5].flatMap((days) =>
    ward.shifts
      .map((shift) => ({ name: shift.name, reading: today.add({ days }).toPlainDateTime(shift.startsAt) }))
      .sort((one, other) => Temporal.PlainDateTime.compare(one.reading, other.reading))
      .map(({ name, reading }) => ({
        name,
        startMs: reading.toZonedDateTime(ward.zone, { disambiguation: 'compatible' }).epochMilliseconds,
      })),
  );
  const taken = inPlanOrder.filter(
    (start, index) => !inPlanOrder.slice(index + 1).some((later) => later.startMs <= start.startMs),
  );
  const running = taken.findLast((start) => start.startMs <= atMs);
  const next = taken.find((start) => start.startMs > atMs);
  if (!running || !next) throw new Error(`Temporal found no shift around ${atMs} in ${ward.zone}`);
  return { name: running.name, startMs: running.startMs, endMs: next.startMs };
}
