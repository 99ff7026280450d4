import { hasSide, limbOf } from '../../domain/line/anatomy.ts';
import type { Species } from '../../domain/patient/species.ts';
import { weightProblem } from '../../wording/care/weight-words.ts';
import { siteDoubt } from './anatomy-words.ts';
import { animalNamed } from './animal-words.ts';
import { cleanText, excerpt, patientName } from './clean-text.ts';
import { fewProblems } from './few-problems.ts';
import { foldWord, wordsOf } from './fold-words.ts';
import { nameOff } from './name-words.ts';
import { type PlaceSaid, recognisedAt } from './place-recognised.ts';
import { slipOf } from './place-slips.ts';
import { longestIndication, type PlaceValues } from './place-values.ts';
import { type PlainWords, wordsOfFailure, wordsOfLine } from './plain-place-words.ts';
import { timeFromWords, type WardTime } from './time-words.ts';

/** Values understood, when the line was placed if that was said (else null), and what was not understood. */
export interface PlaceWords {
  /** A value that was not said, or not understood, is absent: nothing is taken for it. */
  values: PlaceValues;
  at: number | null;
  /** Plain text, not yet escaped; to be shown above the form, in which everything else is filled in. */
  problems: string[];
  /** Plain text: what was taken otherwise than it was written. */
  notes: string[];
}

/** A whole command as it could be typed. */
export const placeExample = '/artline place Biscuit dog 28kg left dorsal pedal 20g manual';

/** Words that carry nothing between two things said. */
const fillers = new Set([
  '',
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
]);

/**
 * Reads `Biscuit dog 28kg left dorsal pedal 20g manual`: the name first (see `nameOff`); the rest may come in any order;
 * `for …` at the end says why it was placed. Each word is understood, belongs to the name, carries nothing, or is a problem.
 * Nothing is registered by it: what was understood fills a form.
 */
export function placeValuesFromWords(text: string, ward: WardTime): PlaceWords {
  return new PlaceReader(wordsOfLine, placeExample).read(text, ward);
}

/** A whole command as it could be typed, of tries that came to no line. */
export const attemptExample = '/artline attempt Biscuit cat left dorsal pedal 22g 2 tries haematoma';

/** Reads `Biscuit cat left dorsal pedal 22g 2 tries haematoma` as `placeValuesFromWords` does, and why they failed. */
export function attemptValuesFromWords(text: string, ward: WardTime): PlaceWords {
  const read = new PlaceReader(wordsOfFailure, attemptExample).read(text, ward);
  const { nurse, ...values } = read.values;
  if (nurse === undefined) return read;
  // Nobody has a line that is not there: "with" can only say who tried.
  return { ...read, values: { ...values, operator: values.operator ?? nurse } };
}

class PlaceReader {
  readonly #plainWords: PlainWords;
  readonly #example: string;
  readonly #said: PlaceSaid = {};
  /** Said in two ways: left empty, whatever comes after. */
  readonly #twice = new Set<string>();
  readonly #problems: string[] = [];
  readonly #notes: string[] = [];
  #siteTyped = '';

  constructor(plainWords: PlainWords, example: string) {
    this.#plainWords = plainWords;
    this.#example = example;
  }

  read(text: string, ward: WardTime): PlaceWords {
    const { words, indication, opener } = withoutIndication(wordsOf(text));
    const { typed, rest: said, note } = nameOff(words, ward, this.#plainWords);
    if (note !== undefined) this.#notes.push(note);
    if (typed !== '') {
      const name = patientName(typed);
      if ('problem' in name) this.#problems.push(name.problem);
      else this.#said.name = name.name;
    }
    const time = timeFromWords(said, ward);
    if ('problem' in time) this.#problems.push(time.problem);
    this.#readRest(time.rest);
    this.#takeIndication(indication, opener);
    this.#holdTogether();
    const { limb: _limb, ...values } = this.#said;
    return {
      values,
      at: 'problem' in time || !time.isGiven ? null : time.at,
      problems: fewProblems(this.#problems),
      notes: fewProblems(this.#notes),
    };
  }

  #readRest(words: readonly string[]): void {
    const folded = words.map(foldWord);
    const unknown: string[] = [];
    for (let index = 0; index < words.length; ) {
      const found = recognisedAt(words, folded, index, this.#plainWords);
      if (found === null) {
        if (!fillers.has(folded[index] ?? '')) unknown.push(words[index] ?? '');
        index += 1;
        continue;
      }
      if (found.problem !== undefined) this.#problems.push(found.problem);
      if (found.note !== undefined) this.#notes.push(found.note);
      if (found.values?.site !== undefined)
        this.#siteTyped = folded
          .slice(index, index + found.used)
          .join(' ')
          .replace(/ artery$/, '');
      this.#take(found.values ?? {});
      index += found.used;
    }
    if (unknown.length > 0) this.#problems.push(this.#notUnderstood(unknown));
  }

  /** Fills in what was said. The same thing said in two ways is left empty: which of them holds, only people know. */
  #take(said: PlaceSaid): void {
    for (const [key, value] of Object.entries(said)) {
      const id = key as keyof PlaceSaid;
      const before = this.#said[id];
      if (this.#twice.has(id)) continue;
      if (before === undefined || before === value) Object.assign(this.#said, { [id]: value });
      else {
        this.#problems.push(`Given twice: ${String(before)} and ${String(value)}. Choose in the form.`);
        this.#leaveEmpty(id);
        if (id === 'species') this.#leaveEmpty('speciesName');
      }
    }
  }

  #leaveEmpty(id: keyof PlaceSaid): void {
    delete this.#said[id];
    this.#twice.add(id);
  }

  /** Everything after "for" is the reason; what belonged elsewhere is said, since it stands nowhere else. */
  #takeIndication(indication: string, opener: string): void {
    if (indication.length > longestIndication) {
      this.#problems.push(
        `The reason has ${indication.length} characters; the most is ${longestIndication}. Shorten it.`,
      );
      return;
    }
    if (indication === '') {
      if (opener !== '')
        this.#problems.push(`Nothing follows “${opener}”: say why it was placed, or leave the word out.`);
      return;
    }
    this.#said.indication = indication;
    const words = wordsOf(indication);
    const folded = words.map(foldWord);
    const isElsewhere = words.some((_, index) => {
      const values = recognisedAt(words, folded, index, this.#plainWords)?.values ?? {};
      return (['site', 'gauge', 'weightKg', 'species'] as const).some(
        (id) => values[id] !== undefined && this.#said[id] === undefined,
      );
    });
    if (isElsewhere)
      this.#notes.push(`Everything after “for” is read as the reason: “${excerpt(indication)}”.`);
  }

  /** What each word says alone and all of them cannot say together. */
  #holdTogether(): void {
    const said = this.#said;
    const { species, weightKg, limb, site } = said;
    if (species !== undefined && weightKg !== undefined) {
      const wrong = weightProblem({ ...said, species, weightKg });
      if (wrong !== null) {
        this.#problems.push(wrong);
        delete said.weightKg;
      }
    }
    if (site === undefined && limb !== undefined)
      this.#problems.push(`Which artery of the ${limb} leg? Choose it.`);
    if (site !== undefined) {
      const doubt = siteDoubt(this.#siteTyped, species);
      const isOtherLimb = limb !== undefined && limbOf(site) !== limb;
      if (isOtherLimb) this.#problems.push(`A ${site} line is not in a ${limb} leg. Choose the artery.`);
      else if (doubt !== null) this.#problems.push(doubt);
      if (isOtherLimb || doubt !== null) delete said.site;
      else if (!hasSide(site) && said.side !== undefined) {
        this.#notes.push(`A ${site} line has no side: “${said.side}” is left out.`);
        delete said.side;
      }
    }
    if (said.flushMode === undefined && !this.#twice.has('flushMode')) this.#flushModeOfSource();
    // Nothing runs into a capped line: it can only be flushed by hand.
    if (said.flushMode === undefined && said.transducer === false) said.flushMode = 'manual';
  }

  /** A rate, or a bag with what is in it or its pressure, flows by itself; a syringe alone may be flushed by hand. */
  #flushModeOfSource(): void {
    const said = this.#said;
    const hasRate = said.rateMlPerH !== undefined;
    const isBag = said.sourceKind === 'pressure bag' || said.pressureMmHg !== undefined;
    if (!hasRate && !isBag) return;
    said.flushMode = 'continuous';
    this.#notes.push(
      `Continuous flushing is chosen, since you gave ${hasRate ? 'a rate' : 'a pressure bag'}.`,
    );
  }

  #notUnderstood(unknown: readonly string[]): string {
    const guesses = [...new Set(unknown.flatMap((word) => slipOf(foldWord(word)) ?? []))].slice(0, 3);
    const guess = guesses.length === 0 ? '' : ` Did you mean ${guesses.map((one) => `“${one}”`).join(', ')}?`;
    return `I didn’t understand “${excerpt(unknown.join(' '))}”.${guess} Write it like this: ${this.#example}`;
  }
}

/** `opener`: the word after which the reason stands; empty where there is none. */
function withoutIndication(words: readonly string[]): {
  words: string[];
  indication: string;
  opener: string;
} {
  // The first word is the name, whatever it is.
  const from = words.findIndex((word, index) => index > 0 && /^(?:for|because)$/iu.test(word));
  if (from === -1) return { words: [...words], indication: '', opener: '' };
  return {
    words: words.slice(0, from),
    indication: cleanText(words.slice(from + 1).join(' ')),
    opener: words[from] ?? '',
  };
}

/** The species that these words name and nothing else, in any case; null where they name none. */
export function speciesFromWords(text: string): Species | null {
  return animalNamed(text)?.species ?? null;
}
