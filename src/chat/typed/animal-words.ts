import { longestSpeciesName, type Species, speciesList } from '../../domain/patient/species.ts';
import { animalName, oneAnimal } from '../../wording/care/animal-names.ts';
import { cleanText, excerpt } from './clean-text.ts';
import { foldWord } from './fold-words.ts';

/** What an animal is: its species, and what it is called where that says more. */
export interface Animal {
  species: Species;
  speciesName?: string;
}

/** Words that say a species and no more. */
const sameAs: Readonly<Record<Species, readonly string[]>> = {
  dog: ['canine', 'dogs', 'k9'],
  cat: ['feline', 'cats'],
  rabbit: ['bunny', 'lagomorph'],
  ferret: [],
  'guinea pig': ['cavy'],
  bird: ['avian'],
  horse: ['equine'],
  foal: [],
  donkey: [],
  cattle: ['bovine'],
  calf: [],
  sheep: ['ovine'],
  goat: ['caprine'],
  pig: ['porcine'],
  alpaca: [],
  llama: [],
  other: ['other animal'],
};

/** Words that say more than a species; the animal keeps its word. No word that is a common name of a patient stands here. */
const ownWords: Readonly<Record<Species, readonly string[]>> = {
  dog: ['puppy', 'pup'],
  cat: ['kitten'],
  rabbit: [],
  ferret: [],
  'guinea pig': [],
  bird: ['parrot', 'macaw', 'cockatoo', 'chicken', 'hen', 'cockerel', 'goose', 'turkey', 'swan', 'owl'],
  horse: ['pony', 'mare', 'stallion', 'gelding', 'yearling', 'mule', 'miniature horse'],
  foal: [],
  donkey: [],
  cattle: ['cow', 'bull', 'steer', 'heifer', 'ox'],
  calf: [],
  sheep: ['lamb', 'ewe', 'ram'],
  goat: ['kid', 'doeling', 'buckling'],
  pig: ['piglet', 'sow', 'boar', 'minipig', 'mini pig', 'pot-bellied pig'],
  alpaca: [],
  llama: [],
  other: [
    'chinchilla',
    'degu',
    'hedgehog',
    'rat',
    'tortoise',
    'turtle',
    'snake',
    'lizard',
    'iguana',
    'monkey',
    'wallaby',
    'kangaroo',
    'koala',
    'wombat',
    'possum',
    'deer',
    'seal',
    'otter',
    'camel',
    'cria',
  ],
};

/** Every word for an animal with what it says. */
export const animalSpellings: readonly (readonly [Animal, readonly string[]])[] = speciesList.flatMap(
  (species): (readonly [Animal, readonly string[]])[] => [
    [{ species }, [species, ...sameAs[species]]],
    ...ownWords[species].map((speciesName) => [{ species, speciesName }, [speciesName]] as const),
  ],
);

/** The animal that a word or two name; undefined where it is none we know. */
export function animalNamed(text: string): Animal | undefined {
  const folded = foldPhrase(text);
  return animalSpellings.find(([, spelt]) => spelt.some((one) => foldPhrase(one) === folded))?.[0];
}

function foldPhrase(text: string): string {
  return text.split(/\s+/u).map(foldWord).join(' ').trim();
}

/**
 * The animal as it is kept, from the species chosen and the word written beside it; or what is wrong. The word must not
 * say another animal than the one chosen: a horse that is called a dog would be shown as one.
 */
export function animalFromWords(
  species: Species,
  written: string | undefined,
): { animal: Animal } | { problem: string } {
  const word = cleanText(written ?? '');
  if (word === '')
    return species === 'other'
      ? { problem: 'Which animal is it? Write it here, for example wallaby.' }
      : { animal: { species } };
  if (word.length > longestSpeciesName)
    return { problem: `At most ${longestSpeciesName} characters are kept. Shorten “${excerpt(word)}”.` };
  const named = animalNamed(word);
  if (named === undefined)
    return species === 'other'
      ? { animal: { species, speciesName: word } }
      : { problem: `Write “${excerpt(word)}” only with “Other animal”: choose that, or empty this.` };
  if (named.species === species)
    return { animal: named.speciesName === undefined ? { species } : { species, speciesName: word } };
  if (species === 'other') return { animal: named };
  return {
    problem: `“${excerpt(word)}” is not ${oneAnimal({ species })}. Choose ${animalName({ species: named.species })} as the species, or empty this.`,
  };
}
