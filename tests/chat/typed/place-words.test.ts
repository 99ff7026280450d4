import { describe, expect, it } from 'vitest';
import type { PlaceValues } from '../../../src/chat/typed/place-values.ts';
import {
  attemptValuesFromWords,
  placeExample,
  placeValuesFromWords,
} from '../../../src/chat/typed/place-words.ts';
import { gauges, hasSide, sides, sites } from '../../../src/domain/line/anatomy.ts';
import * as fc from '../../support/properties.ts';

/** Wed 25 Nov 2026, 04:10 in Berlin. */
const ward = { now: Date.parse('2026-11-25T03:10Z'), zone: 'Europe/Berlin' };
const read = (text: string) => placeValuesFromWords(text, ward);

describe('placeValuesFromWords', () => {
  it.each<[string, PlaceValues]>([
    [
      placeExample.replace('/artline place ', ''),
      {
        name: 'Biscuit',
        species: 'dog',
        weightKg: 28,
        site: 'dorsal pedal',
        side: 'left',
        gauge: 20,
        flushMode: 'manual',
      },
    ],
    ['', {}],
    ['Biscuit', { name: 'Biscuit' }],
    ['Mr R Tibbs cat', { name: 'Mr R Tibbs', species: 'cat' }],
    ['"Manual Labor" dog', { name: 'Manual Labor', species: 'dog' }],
    ['“Cat Stevens” cat', { name: 'Cat Stevens', species: 'cat' }],
    ['Mo 4,2 kg tail 24 G', { name: 'Mo', weightKg: 4.2, site: 'median caudal', gauge: 24 }],
    ['Mo coccygeal left', { name: 'Mo', site: 'median caudal' }],
    ['Mo right metatarsal', { name: 'Mo', side: 'right', site: 'dorsal metatarsal' }],
    ['Mo r radial 22 gauge', { name: 'Mo', side: 'right', site: 'radial', gauge: 22 }],
    [
      'Mo rabbit ear artery left 26ga',
      { name: 'Mo', species: 'rabbit', site: 'auricular', side: 'left', gauge: 26 },
    ],
    [
      'Mo continuous, pressure bag 500 mL at 3 mL/h, 300 mmHg',
      {
        name: 'Mo',
        flushMode: 'continuous',
        sourceKind: 'pressure bag',
        volumeMl: 500,
        rateMlPerH: 3,
        pressureMmHg: 300,
      },
    ],
    ['Mo horse 520 kg', { name: 'Mo', species: 'horse', weightKg: 520 }],
    ['Mo pony 180kg', { name: 'Mo', species: 'horse', speciesName: 'pony', weightKg: 180 }],
    ['Mo guinea pig 0.9kg', { name: 'Mo', species: 'guinea pig', weightKg: 0.9 }],
    ['Mo bleeding disorder', { name: 'Mo', bleeding: true }],
    ['Mo dog 2nd try', { name: 'Mo', species: 'dog', tries: 2 }],
    ['Mo dog 3 tries by <@U0TEO>', { name: 'Mo', species: 'dog', tries: 3, operator: 'U0TEO' }],
    ['Mo dog first attempt, <@U0TEO|teo>', { name: 'Mo', species: 'dog', tries: 1, operator: 'U0TEO' }],
    ['Mo no bleeding disorder', { name: 'Mo', bleeding: false }],
    [
      'Mo dog for septic abdomen, manual vent',
      { name: 'Mo', species: 'dog', indication: 'septic abdomen, manual vent' },
    ],
  ])('reads %j as %j', (text, values) => {
    expect(read(text)).toMatchObject({ at: null, problems: [] });
    expect(read(text).values).toEqual(values);
  });

  it.each<[string, PlaceValues, string]>([
    ['Mo 28 dog', { name: 'Mo', species: 'dog' }, '“28” has no unit. Write 28 kg for the weight.'],
    ['Mo 1400 kg', { name: 'Mo' }, 'Weight: 1400 kg cannot be right. Give 0.3 to 1200 kg.'],
    [
      'Mo dog 520 kg',
      { name: 'Mo', species: 'dog' },
      '520 kg is too heavy for a dog: 0.3 to 120 kg. Check the weight, then the species.',
    ],
    ['Mo 0 kg', { name: 'Mo' }, 'Weight: 0 kg cannot be right. Give 0.3 to 1200 kg.'],
    ['Mo 450 g', { name: 'Mo' }, '“450 g” is in g; it has to be kg. Write 0.45 kg.'],
    [
      'Mo 21g',
      { name: 'Mo' },
      '“21 g”: a gauge is one of 18, 20, 22, 24, 26 G; a weight is written in kg. Write one of them.',
    ],
    ['Mo dog cat', { name: 'Mo' }, 'Given twice: dog and cat. Choose in the form.'],
    [
      'Mo dog blue',
      { name: 'Mo', species: 'dog' },
      `I didn’t understand “blue”. Write it like this: ${placeExample}`,
    ],
    [
      'Mo at 25:10 dog',
      { name: 'Mo', species: 'dog' },
      '“25:10” is not a time of day. Write 00:00 to 23:59, for example 02:10.',
    ],
    [
      `${'x'.repeat(41)} dog`,
      { species: 'dog' },
      `The name has 41 characters; the most is 40. Shorten “${'x'.repeat(39)}…”.`,
    ],
    ['\u202E dog', { species: 'dog' }, ''],
  ])('fills in from %j only %j', (text, values, problem) => {
    const result = read(text);
    expect(result.values).toEqual(values);
    expect(result.problems).toEqual(problem === '' ? [] : [problem]);
  });

  it('takes when it was placed', () => {
    expect(read('Mo dog at 02:10')).toMatchObject({
      values: { name: 'Mo' },
      at: Date.parse('2026-11-25T01:10Z'),
    });
    expect(read('Mo dog 2 h ago')).toMatchObject({ at: Date.parse('2026-11-25T01:10Z') });
  });

  it('gives back what the words were made from, in any order after the name', () => {
    const values = fc.record({
      name: fc.stringMatching(/^[A-Z][b-k]{2,9}$/),
      species: fc.constantFrom('dog' as const, 'bird' as const, 'other' as const),
      weightKg: fc.integer({ min: 3, max: 1200 }).map((tenths) => tenths / 10),
      site: fc.constantFrom(...sites),
      side: fc.constantFrom(...sides),
      gauge: fc.constantFrom(...gauges),
      flushMode: fc.constantFrom('manual' as const, 'continuous' as const),
    });
    fc.assert(
      fc.property(values, fc.infiniteStream(fc.nat()), (told, chance) => {
        const { name, species, weightKg, site, side, gauge, flushMode } = told;
        const parts = [species, `${weightKg}kg`, `${side} ${site}`, `${gauge}g`, flushMode]
          .map((words) => ({ words, rank: chance.next().value }))
          .sort((one, other) => one.rank - other.rank)
          .map(({ words }) => words);
        const { side: _, ...sideless } = told;
        expect(read(`${name} ${parts.join(' ')}`)).toEqual({
          values: hasSide(site) ? told : sideless,
          at: null,
          problems: [],
          notes: hasSide(site) ? [] : [`A ${site} line has no side: “${side}” is left out.`],
        });
      }),
    );
  });

  it('takes any words at all, and lets no control or bidirectional sign into a name or reason', () => {
    const word = fc.oneof(
      fc.constantFrom(
        'dog',
        '28',
        'kg',
        'g',
        '20g',
        'left',
        'l',
        'pedal',
        'for',
        'at',
        '02:10',
        '"',
        '1,000',
        'mL',
      ),
      fc.string({ unit: 'binary', maxLength: 12 }),
    );
    fc.assert(
      fc.property(fc.array(word, { maxLength: 30 }), (words) => {
        const { values, problems } = read(words.join(' '));
        for (const text of [values.name ?? '', values.indication ?? '', ...problems]) {
          expect(text).not.toMatch(/[\p{Cc}\u202A-\u202E\u2066-\u2069]/u);
        }
        expect((values.name ?? '').length).toBeLessThanOrEqual(40);
      }),
    );
    expect(read('x '.repeat(2000)).problems).toHaveLength(1);
  });

  it('tells whom the line is with apart from who placed it, and when it was placed', () => {
    expect(read('Mo dog with <@U0TEO> by <@U0INA> placed 2 h ago')).toMatchObject({
      values: { name: 'Mo', nurse: 'U0TEO', operator: 'U0INA' },
      problems: [],
    });
    expect(read('Mo dog <@U0INA>').values).toMatchObject({ operator: 'U0INA' });
    expect(attemptValuesFromWords('Mo dog with <@U0TEO>', { now: 0, zone: 'UTC' }).values).toEqual({
      name: 'Mo',
      species: 'dog',
      operator: 'U0TEO',
    });
  });
});
