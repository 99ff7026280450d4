import { describe, expect, it } from 'vitest';
import { shareOf } from '../../../src/domain/audit/share.ts';
import type { Species } from '../../../src/domain/patient/species.ts';
import { ownerRisks, type Risk } from '../../../src/domain/risks/owner-risks.ts';
import { betweenWords, oftenWords, ownerLines, ownerWords } from '../../../src/wording/owner/owner-words.ts';

const countedTo = '28 November 2026';
const published = (species: Species) =>
  ownerLines(ownerWords({ species, risks: ownerRisks(species, null), countedTo }));
const ownRisk = (kind: Risk['kind'], count: number, total: number, notTold = 0): Risk => ({
  kind,
  share: shareOf(count, total),
  notReported: notTold,
  from: 'ward',
});
const own = (...risks: Risk[]) => ownerLines(ownerWords({ species: 'cat', risks, countedTo })).join('\n');
const otherWords = ownerWords({ species: 'other', risks: [], countedTo: null });
const pages = [
  ['dog', published('dog')],
  ['cat', published('cat')],
  ['rabbit', published('rabbit')],
  ['other animal', ownerLines(otherWords)],
  [
    'cat, all of it the ward’s own',
    own(
      ownRisk('problem', 123, 1_204),
      ownRisk('removed for a problem', 80, 1_204),
      ownRisk('no pulse next day', 210, 1_004, 188),
      ownRisk('placed at the first try', 700, 1_150),
      ...ownerRisks('cat', null).filter(({ kind }) => kind === 'serious harm'),
    ).split('\n'),
  ],
] as const;

describe('how often, in words', () => {
  it.each([
    [38 / 198, 'about 1 in 5'],
    [13 / 198, 'about 1 in 15'],
    [21 / 94, 'about 1 in 4'],
    [1 / 38, 'about 1 in 40'],
    [9 / 52, 'about 1 in 6'],
    [1 / 100, 'about 1 in 100'],
    [0.3, 'about 1 in 3'],
    [0.5, 'about 5 in 10'],
    [0.68, 'about 7 in 10'],
    [0.96, 'nearly always'],
  ])('of %f is “%s”', (share, words) => {
    expect(oftenWords(share)).toBe(words);
  });

  it.each([
    [38, 198, 'between 14 and 25 in 100'],
    [1, 38, 'up to 13 in 100'],
    [0, 60, 'up to 6 in 100'],
    [60, 60, 'between 94 and 100 in 100'],
  ])('and the interval of %i of %i is “%s”', (count, total, words) => {
    expect(betweenWords(shareOf(count, total).score!)).toBe(words);
  });
});

describe.each(pages)('the page for the owner of a %s', (_species, lines) => {
  const text = lines.join('\n');

  it('is half a page', () => {
    expect(text.length).toBeLessThanOrEqual(1_800);
  });

  it('carries the standing caution once, gives no advice, and says whom to ask', () => {
    expect(text.split('The attending clinician, hospital protocol and local codes decide.')).toHaveLength(2);
    expect(text).toContain('This page gives no advice.');
    expect(text).toMatch(/Ask the vet who is treating your (dog|cat|rabbit|animal)/);
    expect(text).not.toMatch(/\bshould\b|\brecommend|\bsafe\b|\bmust\b|don’t worry/i);
  });

  it('has nothing left open', () => {
    expect(text).not.toMatch(/undefined|null|NaN|\. \.|: {2}/);
  });

  // Kincaid et al., Naval Technical Training Command Research Branch Report 8-75, 1975: grade = 0.39 words a sentence +
  // 11.8 syllables a word − 15.59 (from memory); grade 7 is read at 12. Vowel groups stand for syllables. What is said of
  // figures is left out with its brackets and sources.
  it('is read at the age of twelve', () => {
    const plain = lines
      .filter((line) => !line.startsWith('• [') && !line.includes('local codes'))
      .map((line) => line.replaceAll(/\([^)]*\)|\[\d+\]|^• /g, '').trim())
      .map((line) => (/[.?!]$/.test(line) ? line : `${line}.`))
      .join(' ');
    const words = plain.match(/[a-z’'-]+|\d+/gi) ?? [];
    const syllables = words.reduce(
      (sum, word) =>
        sum +
        Math.max(
          1,
          (
            word
              .toLowerCase()
              .replace(/(?:[^l]e|ed|es)$/, '')
              .match(/[aeiouy]+/g) ?? []
          ).length,
        ),
      0,
    );
    const sentences = plain.match(/[.?!:;](?:\s|$)/g) ?? [];
    const grade = (0.39 * words.length) / sentences.length + (11.8 * syllables) / words.length - 15.59;
    expect(grade).toBeLessThan(7);
    expect(grade).toBeGreaterThan(2);
  });
});

describe('the figures on the page', () => {
  it('stand each with what it is out of, its interval and its source', () => {
    expect(published('dog')).toEqual(
      expect.arrayContaining([
        '• Placing it: it may take several tries, and sometimes it can’t be done.',
        '• A minor problem, such as a blocked line or a bruise: about 1 in 5 lines (38 of 198; between 14 and 25 in 100). [1]',
        '• No pulse felt below it the next day: about 1 in 4 lines (21 of 94; between 15 and 32 in 100). Not recorded in 18 more. No harm from it was noted. [2]',
        '• Lasting harm to a leg or the tail: reported in single animals (a tail wound in a dog); how often isn’t known. [3]',
        '• [1] Hagley et al., J Vet Emerg Crit Care 2021;31:469–475, doi:10.1111/vec.13084.',
        '• [2] Trim et al., J Vet Emerg Crit Care 2017;27:89–95, doi:10.1111/vec.12543: 251 dogs and 13 cats, after an anaesthetic.',
        'These are other hospitals’ figures: this ward has too few lines of its own to count (under 50).',
      ]),
    );
  });

  it('of the ward’s own say so, and since when they were counted', () => {
    const text = own(
      ownRisk('problem', 12, 60),
      ownRisk('removed for a problem', 0, 60),
      ownRisk('no pulse next day', 5, 52, 8),
      ownRisk('placed at the first try', 41, 60),
    );
    expect(text).toContain(
      'the first try works about 7 in 10 times (41 of 60; between 56 and 79 in 100). [1]',
    );
    expect(text).toContain(
      'a cold leg or no pulse): about 1 in 5 lines (12 of 60; between 12 and 32 in 100). [1]',
    );
    expect(text).toContain('because of a problem: none so far (0 of 60; up to 6 in 100). [1]');
    expect(text).toContain(
      'about 1 in 10 lines (5 of 52; between 4 and 21 in 100). Not recorded in 8 more. [1]',
    );
    expect(text).toContain('• [1] This ward’s own lines in cats, 2 years up to 28 November 2026.');
    expect(text).not.toContain('other hospitals');
    expect(text).not.toContain('No harm');
  });

  it('of both kinds say which are other hospitals’', () => {
    const risks = [
      ownRisk('problem', 12, 60),
      ...ownerRisks('cat', null).filter(({ kind }) => kind === 'serious harm'),
    ];
    const text = own(...risks);
    expect(text).toContain('Where this ward has too few lines of its own (under 50)');
    expect(text).toContain('up to 13 in 100). [2]');
  });

  it('say so where the ward’s record could not be counted', () => {
    const risks = ownerRisks('dog', null);
    expect(ownerLines(ownerWords({ species: 'dog', risks, countedTo: null }))).toContain(
      'These are other hospitals’ figures: this ward’s own lines couldn’t be counted just now.',
    );
  });

  it('of other animals are not given, and it is said why', () => {
    const text = ownerLines(otherWords).join('\n');
    expect(text).toContain('We know of no published figures except for dogs and cats');
    expect(text).toContain('too many kinds to be counted together');
    expect(text).not.toMatch(/\d/);
  });

  it('of a rabbit are not given while the ward has too few rabbits, and are its own from then on', () => {
    expect(published('rabbit').join('\n')).toContain(
      'this ward has too few lines of its own in rabbits to count (under 50).',
    );
    const risks = [ownRisk('problem', 5, 50)];
    const text = ownerLines(ownerWords({ species: 'rabbit', risks, countedTo })).join('\n');
    expect(text).toContain('An arterial line for your rabbit');
    expect(text).toContain('about 1 in 10 lines (5 of 50; between 4 and 21 in 100). [1]');
    expect(text).toContain('• [1] This ward’s own lines in rabbits, 2 years up to 28 November 2026.');
    expect(text).not.toMatch(/\bpaw\b|other hospitals/);
  });
});
