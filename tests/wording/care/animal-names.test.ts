import { describe, expect, it } from 'vitest';
import { weightKgRange } from '../../../src/domain/patient/body-weight.ts';
import { patientSchema } from '../../../src/domain/patient/patient.ts';
import { patientKey } from '../../../src/domain/patient/patient-key.ts';
import { type Species, speciesList } from '../../../src/domain/patient/species.ts';
import { animalName, oneAnimal } from '../../../src/wording/care/animal-names.ts';
import { weightProblem } from '../../../src/wording/care/weight-words.ts';

describe('weightProblem', () => {
  // Weights of healthy animals that wards meet: common practice, no source.
  it.each<[Species, number]>([
    ['dog', 28],
    ['dog', 0.3],
    ['cat', 4.2],
    ['rabbit', 2.1],
    ['ferret', 0.8],
    ['guinea pig', 0.9],
    ['bird', 0.45],
    ['horse', 520],
    ['horse', 90],
    ['foal', 48],
    ['cattle', 650],
    ['calf', 38],
    ['sheep', 4],
    ['goat', 45],
    ['pig', 110],
    ['alpaca', 65],
    ['llama', 140],
    ['other', 520],
  ])('believes that a %s weighs %f kg', (species, weightKg) => {
    expect(weightProblem({ species, weightKg })).toBeNull();
  });

  // One slip: a nought too many or a point forgotten, or a species not put right.
  it.each<[Species, number]>([
    ['dog', 520],
    ['dog', 280],
    ['cat', 42],
    ['rabbit', 21],
    ['ferret', 8],
    ['guinea pig', 9],
    ['foal', 480],
    ['calf', 3.8],
    ['horse', 5.2],
    ['cattle', 42],
  ])('asks about a %s of %f kg', (species, weightKg) => {
    expect(weightProblem({ species, weightKg })).toMatch(
      new RegExp(
        `^${weightKg} kg is too (heavy|light) for (a ${species}|cattle): .* Check the weight, then the species\\.$`,
      ),
    );
  });

  it('never believes what the record cannot keep', () => {
    for (const species of speciesList) {
      for (const weightKg of [weightKgRange.min / 2, weightKgRange.max * 2]) {
        expect(weightProblem({ species, weightKg })).not.toBeNull();
        expect(patientSchema.safeParse({ name: 'Mo', species, weightKg }).success).toBe(false);
      }
    }
  });
});

describe('an animal', () => {
  it('is told as English tells one', () => {
    expect(oneAnimal({ species: 'alpaca' })).toBe('an alpaca');
    expect(oneAnimal({ species: 'cattle' })).toBe('cattle');
    expect(oneAnimal({ species: 'horse', speciesName: 'pony' })).toBe('a pony');
  });

  it('is called by its own word where one was told', () => {
    expect(animalName({ species: 'horse', speciesName: 'pony' })).toBe('pony');
    expect(animalName({ species: 'other', speciesName: 'wallaby' })).toBe('wallaby');
    expect(animalName({ species: 'guinea pig' })).toBe('guinea pig');
  });

  it('of an older record, told as other and no more, still reads', () => {
    const patient = patientSchema.parse({ name: 'Mo', species: 'other', weightKg: 3 });
    expect(patient).toEqual({ name: 'Mo', species: 'other', weightKg: 3 });
    expect(animalName(patient)).toBe('other animal');
  });

  it('is the same patient whatever word was told of its species', () => {
    const pony = { name: 'Mo', species: 'horse', speciesName: 'pony' } as const;
    expect(patientKey(pony)).toBe(patientKey({ name: 'mo ', species: 'horse' }));
  });
});
