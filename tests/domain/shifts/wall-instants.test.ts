import { describe, expect, it } from 'vitest';
import { instantMeantBy, instantsShowing } from '../../../src/domain/shifts/wall-instants.ts';
import { midnightOffsetMs, zoneOffsetMs } from '../../../src/domain/shifts/zone-offset.ts';
import * as fc from '../../support/properties.ts';

const iso = (atMs: number) => new Date(atMs).toISOString().slice(0, 16);

describe('instantsShowing', () => {
  it.each([
    ['Europe/Berlin', '2026-07-01T02:30Z', ['2026-07-01T00:30']],
    ['Europe/Berlin', '2026-03-29T01:59Z', ['2026-03-29T00:59']],
    ['Europe/Berlin', '2026-03-29T02:00Z', []],
    ['Europe/Berlin', '2026-03-29T02:59Z', []],
    ['Europe/Berlin', '2026-03-29T03:00Z', ['2026-03-29T01:00']],
    ['Europe/Berlin', '2026-10-25T01:59Z', ['2026-10-24T23:59']],
    ['Europe/Berlin', '2026-10-25T02:00Z', ['2026-10-25T00:00', '2026-10-25T01:00']],
    ['Europe/Berlin', '2026-10-25T03:00Z', ['2026-10-25T02:00']],
    ['Pacific/Apia', '2011-12-30T12:00Z', []],
  ])('in %s for the reading %s gives %j', (zone, reading, instants) => {
    expect(instantsShowing(zone, Date.parse(reading)).map(iso)).toEqual(instants);
  });

  it('gives back every instant whose reading it is asked for', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...Intl.supportedValuesOf('timeZone')),
        fc.integer({ min: Date.UTC(1970, 0, 1) / 60_000, max: Date.UTC(2037, 11, 31) / 60_000 }),
        (zone, minute) => {
          const atMs = minute * 60_000;
          expect(instantsShowing(zone, atMs + zoneOffsetMs(zone, atMs))).toContain(atMs);
        },
      ),
      { numRuns: 2000 },
    );
  });
});

describe('instantMeantBy', () => {
  // The two New York rows are the examples printed in RFC 5545 section 3.3.5 (twice and not at all).
  it.each([
    ['America/New_York', '2007-11-04T01:30Z', '2007-11-04T05:30'],
    ['America/New_York', '2007-03-11T02:30Z', '2007-03-11T07:30'],
    ['Europe/Berlin', '2026-03-29T02:30Z', '2026-03-29T01:30'],
    ['Europe/Berlin', '2026-10-25T02:30Z', '2026-10-25T00:30'],
    ['Pacific/Apia', '2011-12-30T07:00Z', '2011-12-30T17:00'],
  ])('in %s takes the reading %s as %s UTC', (zone, reading, instant) => {
    expect(iso(instantMeantBy(zone, Date.parse(reading)))).toBe(instant);
  });
});

describe('zoneOffsetMs', () => {
  it('throws on a zone that does not exist, and on an instant that is no date', () => {
    expect(() => zoneOffsetMs('Nowhere', 0)).toThrow('in zone "Nowhere"');
    expect(() => zoneOffsetMs('UTC', Number.NaN)).toThrow('instant NaN');
  });
});

describe('midnightOffsetMs', () => {
  it('gives, asked once or again, what zoneOffsetMs gives at 00:00 UTC, over more days than it remembers', () => {
    const firstDay = Date.UTC(2026, 0, 1) / 86_400_000;
    const days = Array.from({ length: 1200 }, (_, index) => firstDay + index);
    const exact = days.map((day) => zoneOffsetMs('Australia/Lord_Howe', day * 86_400_000));
    expect(new Set(exact).size).toBe(2);
    expect(days.map((day) => midnightOffsetMs('Australia/Lord_Howe', day))).toEqual(exact);
    expect(days.map((day) => midnightOffsetMs('Australia/Lord_Howe', day))).toEqual(exact);
    const eachDayTwice = days.map((day) =>
      [day, day].map((asked) => midnightOffsetMs('Australia/Lord_Howe', asked)),
    );
    expect(eachDayTwice).toEqual(exact.map((offsetMs) => [offsetMs, offsetMs]));
  });
});
