import { describe, expect, it } from 'vitest';
import { periodFromWords } from '../../../src/chat/typed/period-words.ts';
import { wall, wardZone } from '../../support/line-builder.ts';

const now = wall('2026-11-24 19:20');
const read = (text: string, at = now) => periodFromWords(text, { now: at, zone: wardZone });
const from = (text: string, at = now) => {
  const answer = read(text, at);
  return 'period' in answer ? answer.period.fromMs : answer.problem;
};

describe('periodFromWords', () => {
  it.each([
    ['', '2026-08-26 19:20'],
    ['90d', '2026-08-26 19:20'],
    ['90 days', '2026-08-26 19:20'],
    ['last 90 d', '2026-08-26 19:20'],
    ['1 day', '2026-11-23 19:20'],
    ['12 weeks', '2026-09-01 19:20'],
    ['12w', '2026-09-01 19:20'],
    ['6 Months', '2026-05-24 19:20'],
    ['1 year', '2025-11-24 19:20'],
    ['since 2026-09-01', '2026-09-01 00:00'],
    ['since 2026-11-24', '2026-11-24 00:00'],
  ])('reads “%s” as beginning %s on the ward’s clock, through the change of clocks', (text, begins) => {
    expect(from(text)).toBe(wall(begins));
  });

  it('ends after what is told at this very moment', () => {
    expect(read('90d')).toMatchObject({ period: { toMs: now + 1 } });
  });

  it('goes from 31 March one month back to the end of February', () => {
    expect(from('1 month', wall('2026-03-31 12:00'))).toBe(wall('2026-02-28 12:00'));
  });

  it.each([
    ['90', /^90 of what\? .*90d, 12 weeks or 6 months/],
    ['3m', /m may be minutes or months\. Write months: 3 months\./],
    ['0d', /^0 days cannot be counted\. Give 1 to 3650 days\.$/],
    ['9999 days', /^9999 days cannot be counted/],
    ['11 years', /Give 1 to 10 years/],
    ['5 fortnights', /^“5 fortnights” has a unit that is not known here/],
    ['-5d', /^“-5d” is no length of time/],
    ['9e9d', /is no length of time|unit/],
    ['for ever', /^“for ever” is no length of time/],
    ['since yesterday', /names no day\. Write it as year-month-day/],
    ['since 2026-09-01 to 2026-10-01', /names no day/],
    ['since 2026-02-30', /^There is no day 2026-02-30/],
    ['since 2026-13-01', /^There is no day 2026-13-01/],
    ['since 2026-12-01', /^2026-12-01 has not come yet/],
    ['since 1999-01-01', /more than 10 years ago/],
    ['<!channel>', /is no length of time/],
  ])('refuses “%s” with what to write instead', (text, problem) => {
    expect(from(text)).toMatch(problem);
  });
});
