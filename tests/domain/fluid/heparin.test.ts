import { describe, expect, it } from 'vitest';
import { accept } from '../../../src/domain/accept/accept.ts';
import { holdMinutes } from '../../../src/domain/duties/after-removal.ts';
import { flushFluid, flushFluidOf, flushGiven } from '../../../src/domain/fluid/flush-fluid.ts';
import { heparinCaution } from '../../../src/domain/fluid/heparin.ts';
import type { EntryDraft, FlushSource } from '../../../src/domain/record/entry.ts';
import { LineLog, type PlacedChanges, testWard, wall } from '../../support/line-builder.ts';

const { policy } = testWard();
const bag = (heparinUPerMl?: number): FlushSource => ({
  kind: 'pressure bag',
  volumeMl: 250,
  rateMlPerH: 3,
  ...(heparinUPerMl === undefined ? {} : { heparinUPerMl }),
});
const ofKg = (weightKg: number, changes: PlacedChanges = {}) =>
  new LineLog('20:00', { ...changes, patient: { species: 'cat', weightKg, ...changes.patient } });

// Unit arithmetic: U/kg/h = concentration × flow ÷ weight, at 3 mL/h; a day is 24 of them.
describe('heparin of a continuous flush at 3 mL/h', () => {
  it.each([
    [1, 1, 3],
    [1, 10, 30],
    [2.5, 2, 2.4],
    [2.5, 5, 6],
    [4, 1, 0.75],
    [4, 10, 7.5],
    [5, 5, 3],
    [10, 2, 0.6],
    [30, 1, 0.1],
    [30, 10, 1],
  ])('in %f kg with %f U/mL is %f U/kg/h', (weightKg, heparinUPerMl, perHour) => {
    const line = ofKg(weightKg, { flushMode: 'continuous', source: bag(heparinUPerMl) }).state();
    expect((flushFluid(line, policy, wall('21:00')).heparinUPerKgPerDay ?? 0) / 24).toBeCloseTo(perHour, 9);
  });
});

describe('heparin of flushes by hand', () => {
  it('counts each flush with what was in it then: 2 mL of 10 U/mL and 1 mL of 1 U/mL in 2 kg are 10.5 U/kg', () => {
    const line = ofKg(2)
      .add('flushed', '20:30', { volumeMl: 2, heparinUPerMl: 10, heparinSeenBy: 'nina' })
      .add('sourceChanged', '20:40', { source: { kind: 'syringe', heparinUPerMl: 1 }, newSet: false })
      .add('flushed', '21:30', { volumeMl: 1 })
      .state();
    expect(flushFluid(line, policy, wall('22:00')).heparinUPerKgPerDay).toBeCloseTo(10.5, 9);
  });

  it('goes on with a syringe that was told once, until another is told', () => {
    const log = ofKg(2)
      .add('flushed', '20:30', { volumeMl: 1, heparinUPerMl: 2, heparinSeenBy: 'nina' })
      .add('flushed', '21:30', { volumeMl: 1 });
    expect(flushFluid(log.state(), policy, wall('22:00')).heparinUPerKgPerDay).toBeCloseTo(2, 9);
    log.add('flushed', '22:30', { volumeMl: 1, heparinUPerMl: 0 }).add('flushed', '23:30', { volumeMl: 1 });
    expect(flushFluid(log.state(), policy, wall('23:45')).heparinUPerKgPerDay).toBeCloseTo(2, 9);
  });

  it('is not known where nobody told, and a bag from before flushing by hand is not in the syringe', () => {
    const line = ofKg(2, { flushMode: 'continuous', source: bag(5) })
      .add('flushModeChanged', '21:00', { mode: 'manual' })
      .add('flushed', '22:00', { volumeMl: 1 })
      .state();
    expect(flushFluid(line, policy, wall('22:30')).heparinUPerKgPerDay).toBeNull();
  });

  it('of several lines of one animal add up, of which one is out and runs no more', () => {
    const now = wall('22:30');
    const one = ofKg(4, { flushMode: 'continuous', source: bag(1) }).state();
    const other = ofKg(4).add('flushed', '22:00', { volumeMl: 2, heparinUPerMl: 1 }).state();
    const out = ofKg(4, { flushMode: 'continuous', source: bag(1) })
      .add('flushed', '20:30', { volumeMl: 1 })
      .add('removed', '21:00', { reason: 'planned' })
      .state();
    const all = flushFluidOf(
      [one, other, out].map((line) => flushGiven(line, policy, now)),
      4,
      policy,
    );
    expect(all.mlPerKgPerDay).toBeCloseTo((72 + 2 + 1) / 4, 9);
    expect(all.heparinUPerKgPerDay).toBeCloseTo((72 + 2 + 1) / 4, 9);
  });
});

// 1 U/mL kept lines open longer in people (DiBartola, p. 373); where a ward asks again is common practice, no source.
describe('heparin stronger than the ward’s', () => {
  const ward = testWard();
  const record = (log: LineLog, draft: EntryDraft) =>
    accept(
      log.state(),
      ward,
      draft,
      { at: wall('21:00'), told: wall('21:00'), by: 'teo', via: 'command' },
      log.entries,
    );
  const changed = (heparinUPerMl: number, heparinSeenBy?: string): EntryDraft => ({
    kind: 'sourceChanged',
    body: {
      source: { ...bag(heparinUPerMl), ...(heparinSeenBy === undefined ? {} : { heparinSeenBy }) },
      newSet: false,
    },
  });
  const continuous = (weightKg: number) => ofKg(weightKg, { flushMode: 'continuous', source: bag() });

  it.each([
    [4.9, 1, 'take'],
    [4.9, 1.01, 'ask'],
    [4.9, 5, 'ask'],
    [5, 5, 'take'],
    [28, 5.5, 'ask'],
  ])('in %f kg: %f U/mL → %s', (weightKg, heparinUPerMl, expected) => {
    expect(record(continuous(weightKg), changed(heparinUPerMl))).toHaveProperty(expected);
    const flushed: EntryDraft = { kind: 'flushed', body: { heparinUPerMl } };
    expect(record(ofKg(weightKg), flushed)).toHaveProperty(expected);
    const mode: EntryDraft = {
      kind: 'flushModeChanged',
      body: { mode: 'continuous', source: bag(heparinUPerMl) },
    };
    expect(record(ofKg(weightKg), mode)).toHaveProperty(expected);
  });

  it('is recorded with who looked at the label again', () => {
    const verdict = record(continuous(3), changed(10));
    if (!('ask' in verdict)) throw new Error('nothing was asked');
    expect(verdict.ask.yes).toEqual(changed(10, 'teo'));
    expect(record(continuous(3), verdict.ask.yes)).toMatchObject({
      take: { body: { source: { heparinSeenBy: 'teo' } } },
    });
  });

  it('is asked about, too, where it only adds to a flush told within the minute', () => {
    const log = ofKg(3).add('flushed', wall('21:00') - 30_000, { volumeMl: 0.5, usual: true });
    const verdict = record(log, { kind: 'flushed', body: { heparinUPerMl: 10 } });
    expect(verdict).toMatchObject({ ask: { about: 'strong heparin', heparinUPerMl: 10, aboveUPerMl: 1 } });
    expect(record(log, { kind: 'flushed', body: { heparinUPerMl: 1 } })).toMatchObject({
      take: { kind: 'amended', body: { body: { heparinUPerMl: 1 } } },
    });
  });
});

const unknown = { screening: { cautions: ['clotting unknown' as const] } };
const bleeds = { patient: { bleeding: true } };

describe('heparin in the flush of an animal that may bleed', () => {
  it.each<[string, PlacedChanges, ReturnType<typeof heparinCaution>]>([
    ['a disorder', { ...bleeds, source: bag(1) }, { because: 'bleeding disorder', heparinUPerMl: 1 }],
    ['clotting unknown', { ...unknown, source: bag(2) }, { because: 'clotting unknown', heparinUPerMl: 2 }],
    ['a disorder, nothing told', bleeds, { because: 'bleeding disorder', heparinUPerMl: null }],
    ['a disorder, told none', { ...bleeds, source: bag(0) }, null],
    ['no risk told', { source: bag(5) }, null],
  ])('is a caution with %s', (_title, changes, expected) => {
    expect(heparinCaution(ofKg(4, changes).state())).toEqual(expected);
  });

  it('is none any more once the line is out', () => {
    const log = ofKg(4, { ...bleeds, source: bag(1) }).add('removed', '21:00', { reason: 'planned' });
    expect(heparinCaution(log.state())).toBeNull();
  });
});

// People: at least 5 min, 10 min if anticoagulated (nursing pages). Clotting that is not known counts like it: common practice.
describe('the hold after removal', () => {
  it.each<[PlacedChanges, number]>([
    [{}, 5],
    [bleeds, 10],
    [unknown, 10],
    [{ screening: { cautions: ['cat'] } }, 5],
    [{ site: 'femoral' }, 10],
  ])('with %j is %i min', (changes, minutes) => {
    expect(holdMinutes(ofKg(4, changes).state(), policy)).toBe(minutes);
  });
});
