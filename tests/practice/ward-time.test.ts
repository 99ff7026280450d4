import { Temporal } from 'temporal-polyfill';
import { describe, expect, it } from 'vitest';
import { datePattern, fieldTime, instantOf } from '../../src/practice/page/ward-time.ts';

// Checked against temporal-polyfill (disambiguation "compatible"), which shares the runtime's zone tables.

const nights: [zone: string, day: string][] = [
  ['Europe/Berlin', '2026-03-29'],
  ['Europe/Berlin', '2026-10-25'],
  ['America/New_York', '2026-03-08'],
  ['America/New_York', '2026-11-01'],
  ['Australia/Lord_Howe', '2026-04-05'],
  ['Australia/Lord_Howe', '2026-10-04'],
  ['Asia/Kolkata', '2026-11-24'],
  ['UTC', '2026-11-24'],
];
const halfHours = Array.from({ length: 48 }, (_, index) => {
  const hour = String(Math.floor(index / 2)).padStart(2, '0');
  return `${hour}:${index % 2 === 0 ? '00' : '30'}`;
});

describe('instantOf', () => {
  it.each(nights)('reads every half hour of a day in %s on %s as Temporal does', (zone, day) => {
    for (const time of halfHours) {
      const text = `${day}T${time}`;
      const expected = Temporal.PlainDateTime.from(text).toZonedDateTime(zone).epochMilliseconds;
      expect([text, instantOf(zone, text)]).toEqual([text, expected]);
    }
  });

  it('gives nothing for what is not a time', () => {
    expect(instantOf('UTC', 'soon')).toBeNull();
  });
});

describe('fieldTime', () => {
  it.each(nights)('writes every half hour of a day in %s on %s as Temporal does', (zone, day) => {
    const startMs = Temporal.PlainDateTime.from(`${day}T00:00`).toZonedDateTime(zone).epochMilliseconds;
    for (let atMs = startMs; atMs < startMs + 86_400_000; atMs += 1_800_000) {
      const expected = Temporal.Instant.fromEpochMilliseconds(atMs)
        .toZonedDateTimeISO(zone)
        .toPlainDateTime()
        .toString({ smallestUnit: 'minute' });
      expect(fieldTime(zone, atMs)).toBe(expected);
    }
  });
});

describe('datePattern', () => {
  // Tokens: docs.slack.dev messaging/formatting-message-text.
  const nowMs = Date.UTC(2026, 10, 24, 19, 0);
  it.each([
    [0, '{date_short_pretty} {time}', 'today 19:00'],
    [-86_400, '{date_pretty} at {time_secs}', 'yesterday at 19:00:00'],
    [86_400, '{date_long_pretty}', 'tomorrow'],
    [5 * 86_400, '{date_short_pretty}', '29 Nov 2026'],
    [-5_400, '{ago}', '1 h 30 min ago'],
    [600, '{ago}', 'in 10 min'],
    [0, '{nonsense}', '{nonsense}'],
  ])('draws %i s from now in %j as %j', (aheadSeconds, pattern, expected) => {
    expect(datePattern('UTC', nowMs, nowMs / 1000 + aheadSeconds, pattern)).toBe(expected);
  });

  it('uses the ward’s zone', () => {
    expect(datePattern('Europe/Berlin', nowMs, nowMs / 1000, '{time}')).toBe('20:00');
  });
});
