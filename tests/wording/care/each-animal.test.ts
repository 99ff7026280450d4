import { describe, expect, it } from 'vitest';
import { eachAnimal } from '../../../src/wording/care/each-animal.ts';
import { LineLog, type PlacedChanges } from '../../support/line-builder.ts';

const line = (id: string, changes: PlacedChanges) => new LineLog('19:00', changes, id).state();
const pedal = line('a', { patient: { name: 'Miso', species: 'cat', weightKg: 4 } });
const tail = line('b', { patient: { name: ' MISO ', species: 'cat', weightKg: 4 }, site: 'median caudal' });
const dog = line('c', { patient: { name: 'Miso' } });

describe('eachAnimal', () => {
  it('names an animal with one line as ever', () => {
    expect(eachAnimal([[pedal, 'flush']])).toEqual(['Miso (left dorsal pedal): flush']);
  });

  it('names an animal with two lines once, with what each line needs', () => {
    expect(
      eachAnimal([
        [pedal, 'flush, site and limb check'],
        [tail, 'zero and level'],
      ]),
    ).toEqual(['Miso (left dorsal pedal: flush, site and limb check; median caudal: zero and level)']);
  });

  it('keeps a dog and a cat of one name apart', () => {
    expect(
      eachAnimal([
        [pedal, 'flush'],
        [dog, 'flush'],
      ]),
    ).toHaveLength(2);
  });
});
