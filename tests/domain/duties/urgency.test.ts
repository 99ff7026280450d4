import { describe, expect, it } from 'vitest';
import type { Duty } from '../../../src/domain/duties/duty.ts';
import { dangerousFrom, nurseGraceMs, urgencyOf, wakingFrom } from '../../../src/domain/duties/urgency.ts';
import type { WardPolicy } from '../../../src/domain/policy/ward-policy.ts';
import { minute, testWard, wall } from '../../support/line-builder.ts';

// The minutes are the ward policy's defaults: common practice, no source.
const ward = (changes: Partial<WardPolicy> = {}) => testWard(changes).policy;
const due = (kind: Duty['kind'], why: Duty['why'] = 'interval', dueAt = wall('03:00')): Duty => ({
  lineId: 'line-1',
  kind,
  why,
  dueAt,
  earliestAt: dueAt,
});

describe('from when on a duty is a danger', () => {
  it.each<[string, Duty['kind'], Partial<WardPolicy>, string | null]>([
    ['a flush 20 min late, when a clot is likely', 'flush', {}, '03:20'],
    ['a source when it has run dry, 30 min after it was to be changed', 'runOut', {}, '03:30'],
    ['a finding from the start', 'finding', {}, '03:00'],
    ['a fault left from the start', 'fault', {}, '03:00'],
    ['a cat’s limit from the start', 'dwellLimit', {}, '03:00'],
    ['a site check never', 'site', {}, null],
    ['a site check from the start on a ward that says so', 'site', { dangerFor: ['site'] }, '03:00'],
    ['a zero never, though the ward says so of site checks', 'zero', { dangerFor: ['site'] }, null],
  ])('%s', (_title, kind, changes, from) => {
    expect(dangerousFrom(due(kind), ward(changes))).toBe(from && wall(from));
  });

  it('a zero is care, a daily question is a question', () => {
    expect(urgencyOf(ward(), 'zero')).toBe('care');
    expect(urgencyOf(ward(), 'stillNeeded')).toBe('question');
  });
});

describe('how long after it was asked for the nurse hears that a duty is late', () => {
  it.each<[string, Duty, Partial<WardPolicy>, number]>([
    ['a flush by the clock', due('flush'), {}, 10],
    [
      'a flush by the clock, however near the danger',
      due('flush'),
      { flushGraceMin: { nurse: 15, clinician: 20 } },
      15,
    ],
    ['a zero by the clock', due('zero', 'shift start'), {}, 15],
    ['a zero after a sample, which is never a danger', due('zero', 'sampled'), {}, 15],
    // Asked for 10 min after the sample, a danger 20 min after it.
    ['a flush after a sample: half the time left', due('flush', 'sampled'), {}, 5],
    [
      'a flush after a sample with much time left: the ward’s minutes, no more',
      due('flush', 'sampled'),
      { flushGraceMin: { nurse: 10, clinician: 60 } },
      10,
    ],
    [
      'a flush after a sample that is a danger before it is asked for',
      due('flush', 'sampled'),
      { atOnceMin: 30 },
      0,
    ],
    ['a flush after a sample where the ward asks at once', due('flush', 'sampled'), { atOnceMin: 0 }, 10],
  ])('%s', (_title, duty, changes, minutes) => {
    expect(nurseGraceMs(duty, ward(changes)) / minute).toBe(minutes);
  });
});

// 07:00 to 22:00: common practice, no source.
describe('care reaches a clinician in waking hours', () => {
  it.each([
    ['21:59', '21:59'],
    ['22:00', '2026-11-25 07:00'],
    ['06:59', '2026-11-25 07:00'],
    ['2026-11-25 07:00', '2026-11-25 07:00'],
  ])('of what is late at %s at %s', (late, told) => {
    expect(wakingFrom(ward(), wall(late))).toBe(wall(told));
  });
});
