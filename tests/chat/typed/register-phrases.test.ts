import { describe, expect, it } from 'vitest';
import { foldWord, wordsOf } from '../../../src/chat/typed/fold-words.ts';
import type { PlaceValues } from '../../../src/chat/typed/place-values.ts';
import { placeValuesFromWords } from '../../../src/chat/typed/place-words.ts';
import * as fc from '../../support/properties.ts';

/** Wed 25 Nov 2026, 04:10 in Berlin. */
const ward = { now: Date.parse('2026-11-25T03:10Z'), zone: 'Europe/Berlin' };
const read = (text: string) => placeValuesFromWords(text, ward);

const zed = { name: 'Zed', species: 'cat', weightKg: 4.2, gauge: 24 } as const;
const rex = { name: 'Rex', species: 'dog', weightKg: 28 } as const;

/** As nurses type them: common practice, no source. */
const understood: readonly [string, PlaceValues][] = [
  ['Rex dog 28kg LDP 20g', { ...rex, site: 'dorsal pedal', side: 'left', gauge: 20 }],
  ['Rex dog 28kg RDP 20g', { ...rex, site: 'dorsal pedal', side: 'right', gauge: 20 }],
  ['Rex dog 28kg L DP 20g', { ...rex, site: 'dorsal pedal', side: 'left', gauge: 20 }],
  ['Rex dog 28kg R DPA', { ...rex, site: 'dorsal pedal', side: 'right' }],
  ['Rex dog 28kg right dorsalis pedis 22 ga', { ...rex, site: 'dorsal pedal', side: 'right', gauge: 22 }],
  ['rex dog 28kg lt dp artery', { ...rex, name: 'rex', site: 'dorsal pedal', side: 'left' }],
  ['Rex dog 28kg left hind dorsal pedal', { ...rex, site: 'dorsal pedal', side: 'left' }],
  ['Rex dog 28kg LH pedal', { ...rex, site: 'dorsal pedal', side: 'left' }],
  ['Rex dog 28kg L metatarsal', { ...rex, site: 'dorsal metatarsal', side: 'left' }],
  ['Rex dog 28kg right dorsal metatarsal artery', { ...rex, site: 'dorsal metatarsal', side: 'right' }],
  ['Zed cat 4.2kg coccygeal 24g', { ...zed, site: 'median caudal' }],
  ['Zed cat 4.2kg median coccygeal 24g', { ...zed, site: 'median caudal' }],
  ['Zed cat 4.2kg tail 24g', { ...zed, site: 'median caudal' }],
  ['Zed cat 4.2kg tail artery 24-gauge', { ...zed, site: 'median caudal' }],
  ['Rex dog 28kg left fore radial', { ...rex, site: 'radial', side: 'left' }],
  ['Rex dog 28kg left femoral', { ...rex, site: 'femoral', side: 'left' }],
  ['Rex dog 28kg sublingual', { ...rex, site: 'lingual' }],
  ['Rex dog 28kg right brachial', { ...rex, site: 'brachial', side: 'right' }],
  ['Rex dog 28kg left median artery', { ...rex, site: 'median (front leg)', side: 'left' }],
  ['Rex dog 28kg R cranial tibial', { ...rex, site: 'cranial tibial', side: 'right' }],
  [
    'Bella foal 48kg left facial 20g',
    { name: 'Bella', species: 'foal', weightKg: 48, site: 'facial', side: 'left', gauge: 20 },
  ],
  [
    'Bella foal 48kg R lateral metatarsal',
    { name: 'Bella', species: 'foal', weightKg: 48, site: 'dorsal metatarsal', side: 'right' },
  ],
  [
    'Duke horse 520kg transverse facial left',
    { name: 'Duke', species: 'horse', weightKg: 520, site: 'transverse facial', side: 'left' },
  ],
  [
    'Duke horse 520kg left facial artery 18g',
    { name: 'Duke', species: 'horse', weightKg: 520, site: 'facial', side: 'left', gauge: 18 },
  ],
  [
    'Duke horse 520kg right great metatarsal',
    { name: 'Duke', species: 'horse', weightKg: 520, site: 'dorsal metatarsal', side: 'right' },
  ],
  [
    'Daisy cow 650kg coccygeal 20g',
    { name: 'Daisy', species: 'cattle', speciesName: 'cow', weightKg: 650, site: 'median caudal', gauge: 20 },
  ],
  [
    'Daisy calf 40kg left caudal auricular',
    { name: 'Daisy', species: 'calf', weightKg: 40, site: 'auricular', side: 'left' },
  ],
  [
    'Thumper rabbit 2.1kg left central ear artery 24g',
    { name: 'Thumper', species: 'rabbit', weightKg: 2.1, site: 'auricular', side: 'left', gauge: 24 },
  ],
  ['Nibs ferret 0.8kg tail', { name: 'Nibs', species: 'ferret', weightKg: 0.8, site: 'median caudal' }],
  [
    'Babe pig 60kg right auricular',
    { name: 'Babe', species: 'pig', weightKg: 60, site: 'auricular', side: 'right' },
  ],
  [
    'Al alpaca 65kg left auricular',
    { name: 'Al', species: 'alpaca', weightKg: 65, site: 'auricular', side: 'left' },
  ],
  [
    'Skip wallaby 12kg tail',
    { name: 'Skip', species: 'other', speciesName: 'wallaby', weightKg: 12, site: 'median caudal' },
  ],
  ['Bird dog 20kg tail', { name: 'Bird', species: 'dog', weightKg: 20, site: 'median caudal' }],
  ['Mr R Tibbs cat 4kg tail', { name: 'Mr R Tibbs', species: 'cat', weightKg: 4, site: 'median caudal' }],
  ['Lady Dot dog 12kg tail', { name: 'Lady Dot', species: 'dog', weightKg: 12, site: 'median caudal' }],
  [
    'Prince of Wales dog 12kg tail',
    { name: 'Prince of Wales', species: 'dog', weightKg: 12, site: 'median caudal' },
  ],
  ['"Rex GSD" dog 30kg tail', { name: 'Rex GSD', species: 'dog', weightKg: 30, site: 'median caudal' }],
  [
    'Rex dog 28kg left dp 20g manual flush',
    { ...rex, site: 'dorsal pedal', side: 'left', gauge: 20, flushMode: 'manual' },
  ],
  [
    'Rex dog 28kg left dp flushed by hand',
    { ...rex, site: 'dorsal pedal', side: 'left', flushMode: 'manual' },
  ],
  ['Rex dog 28kg syringe 50 ml', { ...rex, sourceKind: 'syringe', volumeMl: 50 }],
];

describe('a phrase for registering a line', () => {
  it.each(understood)('is understood: %s', (text, values) => {
    const made = read(text);
    expect(made.values).toEqual(values);
    expect(made.problems).toEqual([]);
  });

  it.each<[string, PlaceValues, RegExp]>([
    ['Zed cat 62 lb', { name: 'Zed', species: 'cat' }, /28\.1 kg is too heavy for a cat/],
    [
      'Rex dog 62 lb tail',
      { name: 'Rex', species: 'dog', weightKg: 28.1, site: 'median caudal' },
      /“62 lb” is 28\.1 kg: check/,
    ],
    [
      'Rex dog 62lbs tail',
      { name: 'Rex', species: 'dog', weightKg: 28.1, site: 'median caudal' },
      /“62lbs” is 28\.1 kg/,
    ],
    [
      'Zed cat 4.2kg right tail 24g',
      { ...zed, site: 'median caudal' },
      /A median caudal line has no side: “right” is left out/,
    ],
    ['Zed cat 4.2kg MC 24g', { ...zed, site: 'median caudal' }, /“MC” is read as median caudal, the tail/],
    [
      'Rex dog 28kg bag 500ml 3ml/h',
      { ...rex, sourceKind: 'pressure bag', volumeMl: 500, rateMlPerH: 3, flushMode: 'continuous' },
      /Continuous flushing is chosen, since you gave a rate/,
    ],
    [
      'Rex dog 28kg bag 500 ml 300 mmHg',
      { ...rex, sourceKind: 'pressure bag', volumeMl: 500, pressureMmHg: 300, flushMode: 'continuous' },
      /since you gave a pressure bag/,
    ],
    ['Rex GSD 28kg tail', { ...rex, site: 'median caudal' }, /“GSD” isn’t kept here; it is taken to say dog/],
    ['Rex dog MN 28kg tail', { ...rex, site: 'median caudal' }, /“MN” isn’t kept here/],
    [
      'Rex collapsed dog 28kg tail',
      { ...rex, name: 'Rex collapsed', site: 'median caudal' },
      /The name is read as “Rex collapsed”: check it/,
    ],
    [
      'Zed cat 4.2kg for sepsis left radial 24g',
      { name: 'Zed', species: 'cat', weightKg: 4.2, indication: 'sepsis left radial 24g' },
      /Everything after “for” is read as the reason/,
    ],
  ])('is taken otherwise than written and says so: %s', (text, values, said) => {
    const { notes, problems, values: made } = read(text);
    expect(made).toEqual(values);
    expect([...notes, ...problems].join(' ')).toMatch(said);
  });

  const vein = (name: string) =>
    new RegExp(`didn’t understand “${name}”: that’s a vein\\. Choose the artery\\.`);
  it.each<[string, PlaceValues, RegExp]>([
    ['Zed cat 4.2kg left cephalic 24g', { ...zed, side: 'left' }, vein('cephalic')],
    ['Zed cat 4.2kg R med saph 24g', { ...zed, side: 'right' }, vein('med saph')],
    ['Zed cat 4.2kg left medial saphenous 24g', { ...zed, side: 'left' }, vein('medial saphenous')],
    ['Zed cat 4.2kg lateral saphenous vein 24g', { ...zed }, vein('lateral saphenous')],
    ['Zed cat 4.2kg jugular 24g', { ...zed }, vein('jugular')],
    ['Zed cat 4.2kg left femoral vein 24g', { ...zed, side: 'left' }, vein('femoral vein')],
    [
      'Thumper rabbit 2kg marginal ear',
      { name: 'Thumper', species: 'rabbit', weightKg: 2 },
      vein('marginal ear'),
    ],
    ['Zed cat 4.2kg central line 24g', { ...zed }, vein('central line')],
    [
      'Zed cat 4.2kg left carotid 24g',
      { ...zed, side: 'left' },
      /“carotid”: a line in that artery can’t be registered yet\. Don’t choose another/,
    ],
    [
      'Zed cat 4.2kg left saphenous artery 24g',
      { ...zed, side: 'left' },
      /“saphenous artery”: a line in that artery can’t/,
    ],
    [
      'Duke horse 500kg left palmar digital',
      { name: 'Duke', species: 'horse', weightKg: 500, side: 'left' },
      /“palmar digital”: a line in that artery/,
    ],
    [
      'Duke horse 500kg left metacarpal',
      { name: 'Duke', species: 'horse', weightKg: 500, side: 'left' },
      /“metacarpal”: a line in that artery/,
    ],
    [
      'Duke horse 500kg left MC',
      { name: 'Duke', species: 'horse', weightKg: 500, side: 'left' },
      /“MC”: median caudal, or metacarpal\? Choose/,
    ],
    [
      'Rex dog 28kg R lateral metatarsal',
      { ...rex, side: 'right' },
      /“lateral metatarsal” is an artery of horses and other hoofed animals/,
    ],
    ['R lateral metatarsal', { side: 'right' }, /artery of horses/],
    ['Rex dog 28kg left median', { ...rex, side: 'left' }, /didn’t understand “median”/],
    [
      'Rex dog 28kg left fore dorsal pedal',
      { ...rex, side: 'left' },
      /A dorsal pedal line is not in a front leg\. Choose the artery/,
    ],
    ['Rex dog 28kg left radial right radial', { ...rex, site: 'radial' }, /Given twice: left and right/],
    ['Rex dog 28kg dp or radial', { ...rex }, /Given twice: dorsal pedal and radial/],
    [
      'Rex dgo 28kg tail',
      { name: 'Rex', weightKg: 28, site: 'median caudal' },
      /didn’t understand “dgo”\. Did you mean “dog”\?/,
    ],
    ['Rex dog 28kg letf dp', { ...rex, site: 'dorsal pedal' }, /“letf”\. Did you mean “left”\?/],
    ['Rex dog 28kg left dorsal pedl', { ...rex, side: 'left' }, /Did you mean “pedal”\?/],
    ['Rex 5yo dog 28kg tail', { ...rex, site: 'median caudal' }, /didn’t understand “5yo”/],
    [
      'Rex dog 520kg tail',
      { name: 'Rex', species: 'dog', site: 'median caudal' },
      /520 kg is too heavy for a dog/,
    ],
    ['Rex dog 280kg', { name: 'Rex', species: 'dog' }, /280 kg is too heavy for a dog/],
    ['Rex dog 28 tail', { name: 'Rex', species: 'dog', site: 'median caudal' }, /“28” has no unit/],
    ['Rex dog 28kg tail 21g', { ...rex, site: 'median caudal' }, /a gauge is one of/],
    ['Rex dog 28kg tail q1h', { ...rex, site: 'median caudal' }, /didn’t understand “q1h”/],
    ['Rex dog 28kg hind foot left', { ...rex, side: 'left' }, /^Which artery of the hind leg\? Choose it\.$/],
  ])('leaves empty what it cannot know: %s', (text, values, said) => {
    const { problems, values: made } = read(text);
    expect(made).toEqual(values);
    expect(problems.join(' ')).toMatch(said);
  });

  /** Words of the trade, of cage cards, slips and anything at all. */
  const anyWord = fc.oneof(
    fc.constantFrom(
      ...understood.flatMap(([text]) => text.split(' ')),
      'cephalic',
      'vein',
      'artery',
      'MC',
      'dgo',
      'GSD',
      'mn',
      '5yo',
      '62',
      'lb',
      'or',
      'not',
      'for',
      'bag',
      '3ml/h',
      'hind',
    ),
    fc.stringMatching(/^[a-z]{1,8}$/),
    fc.stringMatching(/^[A-Z][a-z]{1,8}$/),
  );

  it('says that a reason is missing after a “for” that ends the line', () => {
    expect(read('Rex dog 28kg for').problems).toEqual([
      'Nothing follows “for”: say why it was placed, or leave the word out.',
    ]);
  });

  it('drops no word: without it the answer is another, or the word is a filler that says nothing', () => {
    const fillers = [
      'and',
      'with',
      'in',
      'the',
      'a',
      'at',
      'of',
      'by',
      'placed',
      'artery',
      'arterial',
      'line',
    ];
    fc.assert(
      fc.property(fc.array(anyWord, { minLength: 1, maxLength: 7 }), (words) => {
        const { values, problems, notes } = read(words.join(' '));
        const told = new Set(
          [...wordsOf([...problems, ...notes].join(' ')), ...wordsOf(values.name ?? '')].map(foldWord),
        );
        const inReason = new Set(wordsOf(values.indication ?? '').map(foldWord));
        for (const [index, word] of words.entries()) {
          const folded = foldWord(word);
          if (told.has(folded) || inReason.has(folded) || fillers.includes(folded)) continue;
          // Not quoted back and not in the name: it must have said something.
          const alone = read(`Xyzzy ${word}`);
          const isHeard =
            Object.keys(alone.values).length > 1 || alone.problems.length + alone.notes.length > 0;
          // “L” is an initial after a name and a side before an artery: said twice, as in “left L pedal”, it's no loss.
          const isSide = read(`Xyzzy ${word} pedal`).values.side !== read('Xyzzy pedal').values.side;
          const said = isHeard || isSide;
          const without = read(words.filter((_, at) => at !== index).join(' '));
          const isPart = JSON.stringify(without) !== JSON.stringify({ values, at: null, problems, notes });
          expect(said || isPart, `${word} in ${words.join(' ')}`).toBe(true);
        }
      }),
    );
  });

  it('chooses no artery, side, gauge or way of flushing of its own', () => {
    const vocabulary = fc.constantFrom(
      'cephalic',
      'saphenous',
      'jugular',
      'blue',
      'zorp',
      'vein',
      'carotid',
      'dgo',
      '21g',
      'sideways',
    );
    fc.assert(
      fc.property(fc.array(vocabulary, { maxLength: 6 }), (words) => {
        const { values } = read(`Zed cat 4.2kg ${words.join(' ')}`);
        expect(values).toEqual({ name: 'Zed', species: 'cat', weightKg: 4.2 });
      }),
    );
  });
});

describe('pounds', () => {
  // 1 lb = 0.45359237 kg exactly: international yard and pound agreement of 1959. 62 lb = 28.12 kg, 5 lb = 2.268 kg.
  it.each([
    ['62 lb', 28.1],
    ['5 lb', 2.27],
    ['110 pounds', 49.9],
    ['1100 lbs', 499],
  ])('%s fill in %f kg', (text, weightKg) => {
    expect(read(`Mo ${text}`).values).toEqual({ name: 'Mo', weightKg });
  });
});
