import { quantityProblem, quantityText } from '../verbs/field-values.ts';
import type { Field, LineVerb, Unit, Values } from '../verbs/verb.ts';
import { cleanText, excerpt } from './clean-text.ts';
import { fewProblems } from './few-problems.ts';
import { foldPhrase, foldWord, phraseAt, wordsOf } from './fold-words.ts';
import { nearestWord } from './nearest-word.ts';
import { type OptionNamed, optionsAt, spellingsOf } from './option-words.ts';
import { pressuresSpeltOut } from './pressure-words.ts';
import { type Quantity, quantityAt, unitProblem } from './quantity-words.ts';
import { timeFromWords, type WardTime } from './time-words.ts';

/** What words amount to. `isTimeGiven`: a time was said; else `at` is now. Problems are plain text, not yet escaped. */
export type WordsRead = { values: Values; at: number; isTimeGiven: boolean } | { problems: string[] };

type QuantityField = Field & { kind: 'quantity' };

/** Words that carry nothing where they stand between two things said. */

const fillers = new Set(['and', 'with', 'the', 'a', 'an', 'of', 'was', 'is', 'at', 'just', '&', '+', '']);
/**
 * Reads the words after the patient's name as values of the verb's fields and a time. Every word must be understood:
 * one that is not makes the whole a problem, since it may have been the one that mattered ("not", "no").
 * Fields that were not named are left out; whether that will do is for the verb's drafts to say.
 */
export function valuesFromWords(verb: LineVerb, text: string, ward: WardTime): WordsRead {
  const reader = new WordReader(verb, ward);
  return reader.read(text);
}

/** `hr 190`: a heart rate that is called one is beats a minute everywhere; all else needs its unit. */
function inUnitMeant({ unit }: QuantityField, quantity: Quantity): Quantity {
  return unit === '/min' && quantity.unit === null ? { ...quantity, unit } : quantity;
}

class WordReader {
  readonly #verb: LineVerb;
  readonly #ward: WardTime;
  readonly #values: Record<string, number | string | string[]> = {};
  readonly #typed = new Map<string, string>();
  readonly #problems: string[] = [];
  readonly #unknown: string[] = [];

  constructor(verb: LineVerb, ward: WardTime) {
    this.#verb = verb;
    this.#ward = ward;
  }

  read(text: string): WordsRead {
    const words = this.#takeText(wordsOf(text));
    const time = timeFromWords(words, this.#ward);
    if ('problem' in time) this.#problems.push(time.problem);
    const inPairs = this.#verb.fields.some(({ id }) => id === 'sap');
    const unitless = (typed: string) => {
      this.#problems.push(`“${typed}” has no unit. Write ${typed} mmHg.`);
    };
    this.#readRest(inPairs ? pressuresSpeltOut(time.rest, unitless) : time.rest);
    this.#refuseUnknown();
    if (this.#problems.length > 0 || 'problem' in time) return { problems: fewProblems(this.#problems) };
    return { values: this.#values, at: time.at, isTimeGiven: time.isGiven };
  }

  /** Takes the verb's free text off the words: what stands after its name, or in double quotes. */
  #takeText(words: string[]): string[] {
    const field = this.#verb.fields.find((one) => one.kind === 'text');
    if (field === undefined) return words;
    const name = foldWord(field.id);
    const from = words.findIndex((word) => foldWord(word) === name || /^["“„]/u.test(word));
    if (from === -1) return words;
    const quoted = foldWord(words[from] ?? '') !== name || /^["“„]/u.test(words[from + 1] ?? '');
    const start = foldWord(words[from] ?? '') === name ? from + 1 : from;
    const close = quoted ? words.findIndex((word, index) => index >= start && /.["”]$/u.test(word)) : -1;
    const end = close === -1 ? words.length : close + 1;
    const told = cleanText(
      words
        .slice(start, end)
        .join(' ')
        .replace(/^["“„]|["”]$/gu, ''),
    );
    if (told.length > field.maxLength) {
      this.#problems.push(
        `${field.label} has ${told.length} characters; the most is ${field.maxLength}. Shorten it.`,
      );
    } else if (told !== '') this.#values[field.id] = told;
    return [...words.slice(0, from), ...words.slice(end)];
  }

  #readRest(words: string[]): void {
    const folded = words.map(foldWord);
    const spellings = spellingsOf(this.#verb.fields);
    for (let index = 0; index < words.length; ) {
      index +=
        this.#takeNamedQuantity(words, folded, index) ||
        this.#takeQuantity(words, index) ||
        this.#takeOption(optionsAt(spellings, folded, index)) ||
        this.#takePerson(words, index) ||
        this.#skip(words, folded, index);
    }
  }

  #quantityFields(): QuantityField[] {
    return this.#verb.fields.filter((field): field is QuantityField => field.kind === 'quantity');
  }

  /** `discard 1 mL`: the word before the number says which field it is for. */
  #takeNamedQuantity(words: string[], folded: string[], index: number): number {
    for (const field of this.#quantityFields()) {
      const named = Math.max(
        0,
        ...(field.after ?? []).map((word) => phraseAt(folded, index, foldPhrase(word))),
      );
      if (named === 0) continue;
      let from = index + named;
      while (
        from < words.length &&
        (folded[from] === 'of' || folded[from] === 'was' || words[from] === '=' || words[from] === ':')
      )
        from += 1;
      const quantity = quantityAt(words, from);
      if (quantity === null) continue;
      if ('problem' in quantity) this.#problems.push(quantity.problem);
      else this.#setQuantity(field, inUnitMeant(field, quantity));
      return from + quantity.used - index;
    }
    return 0;
  }

  #takeQuantity(words: string[], index: number): number {
    const quantity = quantityAt(words, index);
    if (quantity === null) return 0;
    if ('problem' in quantity) this.#problems.push(quantity.problem);
    else this.#placeQuantity(quantity);
    // "250 mL left" is what a bag holds.
    const isLeft = /^(?:left|remaining)$/.test(foldWord(words[index + quantity.used] ?? ''));
    return !('problem' in quantity) && quantity.unit === 'mL' && isLeft ? quantity.used + 1 : quantity.used;
  }

  /** Gives a quantity that nothing was said about to the one field it can be for. */
  #placeQuantity(quantity: Quantity): void {
    const fields = this.#quantityFields();
    const units = [...new Set(fields.map(({ unit }) => unit))];
    const wrong = unitProblem(quantity, units);
    if (wrong === null && quantity.unit === null) {
      this.#unknown.push(quantity.typed);
      return;
    }
    if (wrong !== null) {
      this.#problems.push(wrong);
      return;
    }
    const fitting = fields.filter(({ unit }) => unit === quantity.unit);
    const plain =
      fitting.find(({ after }) => after === undefined) ?? (fitting.length === 1 ? fitting[0] : undefined);
    if (
      plain === undefined ||
      (plain.id in this.#values && fitting.some(({ id }) => !(id in this.#values)))
    ) {
      const names = fitting.flatMap(({ id, after }) => (id in this.#values ? [] : (after?.[0] ?? [])));
      this.#problems.push(
        `“${quantity.typed}”: say what it is, for example “${names[0] ?? ''} ${quantity.typed}”.`,
      );
      return;
    }
    this.#setQuantity(plain, quantity);
  }

  #setQuantity(field: QuantityField, quantity: Quantity): void {
    const units: Unit[] = [field.unit];
    const problem = unitProblem(quantity, units) ?? quantityProblem(field, quantity.value);
    if (problem !== null) {
      this.#problems.push(problem);
      return;
    }
    this.#set(field, quantity.value, quantityText(quantity.value, field.unit));
  }

  #set(field: Field, value: number | string, shown: string): void {
    const before = this.#values[field.id];
    if (before !== undefined && before !== value) {
      this.#problems.push(
        `${field.label} is there twice: ${this.#typed.get(field.id) ?? ''} and ${shown}. Write one.`,
      );
      return;
    }
    this.#values[field.id] = value;
    this.#typed.set(field.id, shown);
  }

  /** Where one spelling fits several fields, the first that is still free takes it. */
  #takeOption(named: readonly OptionNamed[]): number {
    const [first] = named;
    if (first === undefined) return 0;
    const free = named.find(({ field }) => field.kind === 'several' || !(field.id in this.#values)) ?? first;
    const { field, option } = free;
    if (field.kind === 'choice') {
      this.#set(field, option.value, option.label);
    } else {
      const ticked = this.#values[field.id];
      const before = Array.isArray(ticked) ? ticked : [];
      if (!before.includes(option.value)) this.#values[field.id] = [...before, option.value];
    }
    return free.used;
  }

  #takePerson(words: string[], index: number): number {
    const field = this.#verb.fields.find((one) => one.kind === 'person');
    const user = /^<@([A-Z0-9]{3,20})(?:\|[^>]*)?>$/.exec(words[index] ?? '')?.[1];
    if (field === undefined || user === undefined) return 0;
    this.#set(field, user, 'one person');
    return 1;
  }

  #skip(words: string[], folded: string[], index: number): number {
    if (!fillers.has(folded[index] ?? '')) this.#unknown.push(words[index] ?? '');
    return 1;
  }

  #refuseUnknown(): void {
    if (this.#unknown.length > 0) this.#problems.push(this.#notUnderstood(this.#unknown.join(' ')));
  }

  #notUnderstood(words: string): string {
    const person = words.split(' ').find((word) => word.startsWith('@'));
    if (person !== undefined && this.#verb.fields.some(({ kind }) => kind === 'person'))
      return `I don’t know “${excerpt(person)}”. Write @ and pick the person from the list.`;
    const meant = this.#nearestOption(words);
    const guess = meant === undefined ? '' : ` Did you mean “${meant}”?`;
    return `I didn’t understand “${excerpt(words)}”.${guess} Write it like this: ${this.#verb.example}${this.#findingsWritten()}`;
  }

  /** An example says that nothing was amiss, so that it alarms nobody: how a finding is written must stand beside it. */
  #findingsWritten(): string {
    const field = this.#verb.fields.find(({ id }) => id === 'findings');
    if (field?.kind !== 'several') return '';
    return `. What you saw is written ${field.options.map(({ value, words }) => words?.[0] ?? value).join(', ')}.`;
  }

  /** The word of an option that one unknown word is a slip or two away from. */
  #nearestOption(words: string): string | undefined {
    const spelt = spellingsOf(this.#verb.fields).flatMap(({ phrase: [word, ...more] }) =>
      word === undefined || more.length > 0 || word.length < 4 ? [] : [word],
    );
    return nearestWord(foldWord(words), spelt);
  }
}
