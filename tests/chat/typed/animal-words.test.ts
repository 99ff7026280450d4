import { describe, expect, it } from 'vitest';
import { animalFromWords, animalNamed, animalSpellings } from '../../../src/chat/typed/animal-words.ts';
import { foldWord } from '../../../src/chat/typed/fold-words.ts';
import { longestSpeciesName, speciesList } from '../../../src/domain/patient/species.ts';

describe('words for animals', () => {
  it.each([
    ['rabbit', { species: 'rabbit' }],
    ['Foal', { species: 'foal' }],
    ['guinea pig', { species: 'guinea pig' }],
    ['pony', { species: 'horse', speciesName: 'pony' }],
    ['cow', { species: 'cattle', speciesName: 'cow' }],
    ['lamb', { species: 'sheep', speciesName: 'lamb' }],
    ['kitten', { species: 'cat', speciesName: 'kitten' }],
    ['parrot', { species: 'bird', speciesName: 'parrot' }],
    ['wallaby', { species: 'other', speciesName: 'wallaby' }],
    ['feline', { species: 'cat' }],
  ])('knows %s', (word, animal) => {
    expect(animalNamed(word)).toEqual(animal);
  });

  it('mean one animal each, and every species has one', () => {
    const all = animalSpellings.flatMap(([, words]) =>
      words.map((word) => word.split(' ').map(foldWord).join(' ')),
    );
    expect(new Set(all).size).toBe(all.length);
    for (const species of speciesList) expect(animalNamed(species)).toEqual({ species });
  });
});

describe('animalTold', () => {
  it('keeps the word told of another animal, as it was written', () => {
    expect(animalFromWords('other', ' Red panda ')).toEqual({
      animal: { species: 'other', speciesName: 'Red panda' },
    });
    expect(animalFromWords('horse', 'pony')).toEqual({ animal: { species: 'horse', speciesName: 'pony' } });
    expect(animalFromWords('horse', 'equine')).toEqual({ animal: { species: 'horse' } });
    expect(animalFromWords('dog', undefined)).toEqual({ animal: { species: 'dog' } });
  });

  it('asks which animal another animal is', () => {
    expect(animalFromWords('other', '  ')).toEqual({
      problem: 'Which animal is it? Write it here, for example wallaby.',
    });
  });

  it('never shows one animal under the name of another', () => {
    expect(animalFromWords('dog', 'pony')).toEqual({
      problem: '“pony” is not a dog. Choose horse as the species, or empty this.',
    });
    expect(animalFromWords('other', 'rabbit')).toEqual({ animal: { species: 'rabbit' } });
    expect(animalFromWords('cat', 'red panda')).toHaveProperty('problem');
    expect(animalFromWords('other', 'x'.repeat(longestSpeciesName + 1))).toHaveProperty('problem');
  });
});
