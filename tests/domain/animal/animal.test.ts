import { describe, expect, it } from 'vitest';
import {
  animalsOf,
  namedHere,
  ofAnimal,
  ownLine,
  type Placing,
  placingOf,
  placingsOver,
  stillHere,
  targetsLine,
  withAnimals,
} from '../../../src/domain/animal/animal.ts';
import { bloodOfAnimal } from '../../../src/domain/blood/blood-loss.ts';
import { flushFluid } from '../../../src/domain/fluid/flush-fluid.ts';
import type { LineState } from '../../../src/domain/record/line-state.ts';
import { hour, LineLog, type PlacedChanges, testWard, wall } from '../../support/line-builder.ts';
import * as fc from '../../support/properties.ts';

const day = 24 * hour;
const start = wall('2026-11-20 08:00');

function placing(line: string, changes: Partial<Placing> = {}): Placing {
  return {
    line,
    animal: null,
    patient: { name: 'Biscuit', species: 'dog', weightKg: 28 },
    at: start,
    until: null,
    ...changes,
  };
}

const whose = (...placings: Placing[]) => Object.fromEntries(animalsOf(placings));

describe('whose a line is', () => {
  it('is the same animal’s by name and species where nobody was asked, side by side and one after another', () => {
    const dog = { species: 'dog', weightKg: 28 } as const;
    expect(
      whose(
        placing('a', { until: start + day }),
        placing('b', { at: start + hour, patient: { name: ' BISCUIT', ...dog } }),
        placing('c', { at: start + 8 * day, until: null }),
        placing('d', { at: start + hour, patient: { name: 'Biscuit', species: 'cat', weightKg: 4 } }),
        placing('e', { at: start + hour, patient: { name: 'Milo', ...dog } }),
      ),
    ).toEqual({ a: 'a', b: 'a', c: 'a', d: 'd', e: 'e' });
  });

  it('is another stay’s a week after the last line came out, or where the weights are too far apart', () => {
    const out = placing('a', { until: start + day });
    expect(whose(out, placing('b', { at: start + 8 * day }))).toEqual({ a: 'a', b: 'a' });
    expect(whose(out, placing('b', { at: start + 8 * day + 1 }))).toEqual({ a: 'a', b: 'b' });
    const weighing = (weightKg: number) =>
      placing('b', { at: start + hour, patient: { name: 'Biscuit', species: 'dog', weightKg } });
    expect(whose(placing('a'), weighing(19))).toEqual({ a: 'a', b: 'a' });
    expect(whose(placing('a'), weighing(18))).toEqual({ a: 'a', b: 'b' });
  });

  it('is what was told, whatever names and weights say; a line of which nobody was asked joins none that was told', () => {
    expect(
      whose(
        placing('a', { animal: 'x' }),
        placing('b', { at: start + 1, animal: 'y' }),
        placing('c', { at: start + 2, animal: 'x', patient: { name: 'Rex', species: 'cat', weightKg: 3 } }),
        placing('d', { at: start + 3 }),
      ),
    ).toEqual({ a: 'x', b: 'y', c: 'x', d: 'd' });
  });

  it('does not hang on the order in which lines are read, nor on lines of other animals', () => {
    const any = fc.record({
      name: fc.constantFrom('Biscuit', 'biscuit ', 'Milo'),
      weightKg: fc.constantFrom(3, 4, 28),
      at: fc.integer({ min: 0, max: 20 }),
      forDays: fc.option(fc.integer({ min: 0, max: 9 })),
      animal: fc.option(fc.constantFrom('x', 'y')),
    });
    fc.assert(
      fc.property(fc.array(any, { maxLength: 8 }), fc.nat(), (drawn, turn) => {
        const placings = drawn.map(({ name, weightKg, at, forDays, animal }, index) =>
          placing(`l${index}`, {
            animal,
            patient: { name, species: 'dog', weightKg },
            at: start + at * day,
            until: forDays === null ? null : start + (at + forDays) * day,
          }),
        );
        const animals = animalsOf(placings);
        const turned = placings.map((_, index) => placings[(index + turn) % placings.length] as Placing);
        expect(animalsOf(turned)).toEqual(animals);
        for (const id of new Set(animals.values())) {
          const mine = placings.filter(({ line }) => animals.get(line) === id);
          expect([...animalsOf(mine).values()]).toEqual(mine.map(() => id));
        }
      }),
    );
  });
});

describe('the name of an animal that is here', () => {
  it('is asked after within the ward’s days, whatever the species', () => {
    const placings = [placing('a', { until: start + day })];
    expect(namedHere(placings, 'biscuit', start + 3 * day, 2)?.line).toBe('a');
    expect(namedHere(placings, 'biscuit', start + 3 * day + 1, 2)).toBeUndefined();
    expect(namedHere(placings, 'Milo', start, 7)).toBeUndefined();
  });

  it('is forgotten once its last line is out for longer than any ward may set, all its lines at once', () => {
    const placings = [
      placing('a', { until: start + day }),
      placing('b', { at: start + hour, until: start + 2 * day }),
      placing('c', { patient: { name: 'Milo', species: 'dog', weightKg: 9 }, until: start }),
    ];
    const over = (at: number, listed: string[] = []) => placingsOver(placings, new Set(listed), at);
    expect(over(start + 30 * day)).toEqual([]);
    expect(over(start + 31 * day + 1)).toEqual(['c']);
    expect(over(start + 32 * day + 1)).toEqual(['a', 'b', 'c']);
    expect(over(start + 32 * day + 1, ['b'])).toEqual(['c']);
  });
});

const cat: PlacedChanges = {
  patient: { name: 'Miso', species: 'cat', weightKg: 4 },
  flushMode: 'continuous',
  source: { kind: 'syringe', volumeMl: 50, rateMlPerH: 3, heparinUPerMl: 1 },
};

/** The lines of one animal as the ward reads them, with what the others say. */
function joined(...logs: LineLog[]): LineState[] {
  const lines = logs.map((log) => log.state());
  return withAnimals(lines, lines.map(placingOf));
}

describe('what counts for the whole animal', () => {
  // Dead space 0.6 mL, twice that thrown away before each of six samples of 0.5 mL a day, 4 kg: 10.2 mL, 4.64 %. Discard of
  // two dead spaces: Rickard CM et al., Crit Care Med 2003;31:1654-1658; 55 mL/kg: transfusion texts, from memory.
  it('is the blood of all its lines: 10.2 mL, 4.64 % of a 4 kg cat, whether drawn from one line or from two', () => {
    const sample = { volumeMl: 0.5, discardMl: 1.2, discardReturned: false, flushed: true };
    const one = new LineLog('2026-11-24 08:00', cat);
    const before = new LineLog('2026-11-24 08:00', cat, 'before');
    const after = new LineLog('2026-11-24 12:30', { ...cat, site: 'femoral' }, 'after');
    for (const [index, at] of ['09:00', '12:00', '15:00', '18:00', '21:00', '23:00'].entries()) {
      one.add('sampled', `2026-11-24 ${at}`, sample);
      (index < 2 ? before : after).add('sampled', `2026-11-24 ${at}`, sample);
    }
    before.add('removed', '2026-11-24 13:00', { reason: 'occluded' });
    const now = wall('2026-11-24 23:30');
    const [single] = joined(one);
    const alone = bloodOfAnimal(single as LineState, now);
    expect(alone.ml).toBeCloseTo(10.2, 9);
    expect(alone.percent).toBeCloseTo(4.636, 3);
    for (const line of joined(before, after)) {
      const both = bloodOfAnimal(line, now);
      expect(both.ml).toBeCloseTo(alone.ml, 9);
      expect(both.percent).toBeCloseTo(alone.percent, 9);
      expect(both).toMatchObject({ samples: 6, lines: 2, stayLines: 2 });
      expect(both.stayMl).toBeCloseTo(10.2, 9);
    }
  });

  it('is the blood since admission too, also what is older than a day and from lines that are out', () => {
    const first = new LineLog('2026-11-20 08:00', cat, 'first')
      .add('sampled', '2026-11-20 09:00', { volumeMl: 2, flushed: true })
      .add('disturbed', '2026-11-20 09:30', { how: 'disconnected', bloodLostMl: 1 })
      .add('removed', '2026-11-20 10:00', { reason: 'planned' });
    const second = new LineLog('2026-11-24 08:00', cat, 'second').add('sampled', '2026-11-24 09:00', {
      volumeMl: 1,
      flushed: true,
    });
    const line = joined(first, second)[1] as LineState;
    expect(bloodOfAnimal(line, wall('2026-11-24 10:00'))).toMatchObject({
      ml: 1,
      lines: 1,
      stayMl: 4,
      stayLines: 2,
    });
  });

  it('is the flush fluid and the heparin of all its lines, of which a line that is out gives nothing at its rate', () => {
    const { policy } = testWard();
    const one = new LineLog('08:00', cat, 'one');
    const two = new LineLog('09:00', { ...cat, site: 'femoral' }, 'two');
    const now = wall('10:00');
    // 3 mL/h of 1 U/mL in 4 kg: 18 mL/kg/day and 18 U/kg/day by each line.
    expect(flushFluid(joined(one, two)[0] as LineState, policy, now)).toMatchObject({
      mlPerKgPerDay: 36,
      heparinUPerKgPerDay: 36,
      lines: 2,
      isMuchFluid: true,
    });
    one.add('removed', '09:30', { reason: 'planned' });
    expect(flushFluid(joined(one, two)[1] as LineState, policy, now)).toMatchObject({
      mlPerKgPerDay: 18,
      lines: 1,
    });
  });

  it('is the sum of its lines, whatever was drawn from which; splitting one off takes its own away', () => {
    const drawn = fc.array(
      fc.record({ line: fc.nat(2), volumeMl: fc.constantFrom(0.5, 1, 2.5), minute: fc.nat(2_000) }),
      { maxLength: 12 },
    );
    fc.assert(
      fc.property(drawn, fc.nat(2), (samples, apart) => {
        const logs = ['a', 'b', 'c'].map((id) => new LineLog(start, cat, id));
        for (const { line, volumeMl, minute } of samples)
          logs[line]?.add('sampled', start + minute * 60_000, { volumeMl, flushed: true });
        const now = start + 2_000 * 60_000;
        const sum = (some: LineState[]) =>
          some.reduce((ml, line) => ml + bloodOfAnimal(ownLine(line), now).ml, 0);
        const all = joined(...logs);
        for (const line of all) expect(bloodOfAnimal(line, now).ml).toBeCloseTo(sum(all), 9);
        for (const [index, log] of logs.entries())
          log.add('amended', start + day, { target: 1, body: { animal: index === apart ? 'apart' : 'a' } });
        const split = joined(...logs);
        for (const [index, line] of split.entries()) {
          const mine = index === apart ? [line] : split.filter((_, other) => other !== apart);
          expect(bloodOfAnimal(line, now).ml).toBeCloseTo(sum(mine), 9);
        }
      }),
    );
  });

  it('is the weight told last, on whichever line, and the name and species with it', () => {
    const one = new LineLog('08:00', cat, 'one');
    const two = new LineLog('09:00', { ...cat, patient: { ...cat.patient, weightKg: 3.6 } }, 'two');
    expect(joined(one, two).map(({ patient }) => patient.weightKg)).toEqual([3.6, 3.6]);
    const patient = { name: 'Misu', species: 'cat', weightKg: 3.8 };
    one.add('amended', '10:00', { target: 1, body: { patient, animal: 'one' } });
    two.add('amended', '11:00', { target: 1, body: { site: 'radial', animal: 'one' } });
    const lines = joined(one, two);
    expect(lines.map((line) => line.patient)).toEqual([patient, patient]);
    expect(lines.map((line) => ownLine(line).patient.weightKg)).toEqual([3.8, 3.6]);
  });

  it('is the targets set last, on whichever line, and they are ended where they were set', () => {
    const one = new LineLog('08:00', cat, 'one');
    const two = new LineLog('09:00', { ...cat, site: 'femoral' }, 'two');
    one.add('targetsSet', '10:00', { mapMmHg: { low: 70 }, reason: 'head injury', until: wall('20:00') });
    const lines = joined(one, two);
    expect(lines.map(({ targets }) => targets?.mapMmHg?.low)).toEqual([70, 70]);
    expect(lines.map(targetsLine)).toEqual(['one', 'one']);
    expect(ownLine(lines[1] as LineState).targets).toBeNull();
    two.add('targetsSet', '11:00', { mapMmHg: { low: 80 }, reason: 'head injury', until: wall('20:00') });
    expect(joined(one, two).map(({ targets }) => targets?.mapMmHg?.low)).toEqual([80, 80]);
  });

  it('is a bleeding disorder and every caution found at one of its lines, but not what is about one artery', () => {
    const one = new LineLog('08:00', { ...cat, screening: { cautions: ['cat', 'broken skin'] } }, 'one');
    const two = new LineLog(
      '09:00',
      {
        ...cat,
        patient: { ...cat.patient, bleeding: true },
        screening: {
          cautions: ['bleeding disorder', 'cat'],
          override: { clinician: 'vet', at: wall('09:00'), reason: 'needed for vasopressors' },
        },
      },
      'two',
    );
    const [first, second] = joined(one, two);
    expect(first?.patient.bleeding).toBe(true);
    expect(first?.screening).toEqual({ cautions: ['bleeding disorder', 'cat', 'broken skin'] });
    expect(second?.screening?.cautions).toEqual(['bleeding disorder', 'cat']);
    expect(second?.screening?.override?.clinician).toBe('vet');
    const nobodyLooked = joined(new LineLog('08:00', cat, 'a'), new LineLog('09:00', cat, 'b'));
    expect(nobodyLooked.map(({ screening }) => screening)).toEqual([null, null]);
  });

  it('leaves each line’s own log as it is', () => {
    const one = new LineLog('08:00', cat, 'one').state();
    const two = new LineLog(
      '09:00',
      { ...cat, patient: { ...cat.patient, weightKg: 5, bleeding: true } },
      'two',
    );
    expect(ownLine(ofAnimal(one, 'one', [two.state()]))).toEqual(one);
    expect(stillHere([one], new Set(['one']), wall('10:00'))).toEqual([placingOf(one)]);
  });
});
