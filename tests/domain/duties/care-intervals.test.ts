import { describe, expect, it } from 'vitest';
import { nextUsual } from '../../../src/domain/duties/next-usual.ts';
import type { DutyKind } from '../../../src/domain/duty-kind.ts';
import { defaultPolicy, type WardPolicy } from '../../../src/domain/policy/ward-policy.ts';
import { visitsBetween } from '../../../src/domain/rounds/visit.ts';
import { clock, hour, LineLog, type PlacedChanges, wall, wardZone } from '../../support/line-builder.ts';

/**
 * 2 h and 4 h, 12 h and 24 h are common practice, no source; that a rabbit, a ferret and an ear are asked after sooner is from
 * memory. That a cat's collateral vessels are poor: van den Herik & Gommeren, feline emergency text.
 */
const policy: WardPolicy = defaultPolicy(wardZone);

const of = (species: 'dog' | 'cat' | 'rabbit' | 'ferret' | 'horse', weightKg: number): PlacedChanges => ({
  patient: { species, weightKg },
});
const dog = of('dog', 28);
const tail: PlacedChanges = { ...dog, site: 'median caudal', side: undefined };
const ear: PlacedChanges = { ...dog, site: 'auricular' };
const rabbit = of('rabbit', 2.4);
const ferret = of('ferret', 1.1);

/** When a duty of a line placed 19:30 is due, as the hours after placing. */
function dueAfterH(changes: PlacedChanges, kind: DutyKind, own = policy): number | null {
  const duty = new LineLog('19:30', changes).duty(kind, own, '19:31');
  return duty ? (duty.dueAt - wall('19:30')) / hour : null;
}

describe('a site check', () => {
  it.each<[string, PlacedChanges, number]>([
    ['a dog’s dorsal pedal', dog, 4],
    ['a dog’s radial', { ...dog, site: 'radial' }, 4],
    ['a rabbit’s dorsal pedal', rabbit, 4],
    ['a cat’s dorsal pedal', of('cat', 4), 2],
    ['a cat’s tail', { ...of('cat', 4), site: 'median caudal', side: undefined }, 2],
    ['a dog’s tail', tail, 2],
    ['a dog’s ear', ear, 2],
    ['a rabbit’s ear', { ...rabbit, site: 'auricular' }, 2],
  ])('of %s', (_of, changes, hours) => {
    expect(dueAfterH(changes, 'site')).toBe(hours);
  });

  it('comes again after as long, and counts from a quarter of it before', () => {
    const again = (changes: PlacedChanges) => {
      const duty = new LineLog('19:30', changes)
        .add('siteChecked', '21:00', { finding: {} })
        .duty('site', policy, '21:01');
      return duty && [clock(duty.dueAt), clock(duty.earliestAt)];
    };
    expect(again(of('cat', 4))).toEqual(['23:00', '22:30']);
    expect(again(tail)).toEqual(['23:00', '22:30']);
    expect(again(dog)).toEqual(['01:00', '00:00']);
  });

  it('is never less often than in others, whatever the ward sets', () => {
    const every = { ...policy, siteCheckEveryH: 1, siteCheckCloseEveryH: 2 };
    expect(dueAfterH(of('cat', 4), 'site', every)).toBe(1);
    expect(dueAfterH(of('cat', 4), 'site', { ...policy, siteCheckCloseEveryH: 0.5 })).toBe(0.5);
  });

  it('let go by a clinician comes again after as long, and a shift is planned with it', () => {
    const usual = (changes: PlacedChanges) =>
      clock(nextUsual(new LineLog('19:30', changes).state(), policy, 'site', wall('22:00')));
    expect([usual(dog), usual(of('cat', 4)), usual(tail), usual(ear)]).toEqual([
      '02:00',
      '00:00',
      '00:00',
      '00:00',
    ]);
    const checks = (changes: PlacedChanges) => {
      const line = new LineLog('19:30', changes).inOrder('19:35').state();
      const visits = visitsBetween([line], policy, wall('19:36'), wall('00:15'));
      return visits.flatMap(({ duties }) => duties.filter(({ kind }) => kind === 'site')).length;
    };
    expect(checks(ear)).toBeGreaterThanOrEqual(2 * checks(dog));
  });
});

describe('“still needed?”', () => {
  it.each<[string, PlacedChanges, number | null]>([
    ['a dog’s dorsal pedal', dog, 24],
    ['a dog’s tail', tail, 24],
    ['a horse’s facial', { ...of('horse', 450), site: 'facial' }, 24],
    ['a dog’s ear', ear, 12],
    ['a rabbit’s dorsal pedal', rabbit, 12],
    ['a rabbit’s ear', { ...rabbit, site: 'auricular' }, 12],
    ['a ferret’s tail', { ...ferret, site: 'median caudal', side: undefined }, 12],
    ['a cat, which has a limit instead', of('cat', 4), null],
    ['a cat’s ear, which has a limit instead', { ...of('cat', 4), site: 'auricular' }, null],
  ])('of %s', (_of, changes, hours) => {
    expect(dueAfterH(changes, 'stillNeeded')).toBe(hours);
  });

  it('counts from 4 h before, and a clinician’s answer is offered until as long from now', () => {
    const early = (changes: PlacedChanges) => {
      const duty = new LineLog('19:30', changes).duty('stillNeeded', policy, '19:31');
      return duty && (duty.dueAt - duty.earliestAt) / hour;
    };
    expect([early(dog), early(ear), early(rabbit)]).toEqual([4, 4, 4]);
    // A third of it, where that is less.
    const often = { ...policy, stillNeededSoonEveryH: 6 };
    const soon = new LineLog('19:30', rabbit).duty('stillNeeded', often, '19:31');
    expect(soon && (soon.dueAt - soon.earliestAt) / hour).toBe(2);
    const usual = (changes: PlacedChanges) =>
      (nextUsual(new LineLog('19:30', changes).state(), policy, 'stillNeeded', wall('22:00')) -
        wall('22:00')) /
      hour;
    expect([usual(dog), usual(ear), usual(rabbit), usual(ferret)]).toEqual([24, 12, 12, 12]);
  });

  it('is never later than in others, whatever the ward sets', () => {
    const own = { ...policy, stillNeededEveryH: 12, stillNeededSoonEveryH: 48 };
    expect(dueAfterH(rabbit, 'stillNeeded', own)).toBe(12);
  });
});
