import { quantityText } from '../verbs/field-values.ts';
import type { Unit } from '../verbs/verb.ts';
import { foldWord } from './fold-words.ts';

/** A number as it was written, with the unit that followed it. */
export interface Quantity {
  value: number;
  /** A unit of ours, another unit that people write by mistake, or none. */
  unit: Unit | OtherUnit | null;
  /** As typed, for quoting back. */
  typed: string;
  /** How many words it took. */
  used: number;
}

/** Units that are understood well enough to say what to write instead. */
type OtherUnit = Exclude<keyof typeof otherUnits, Unit>;

const unitWords: Readonly<Record<string, Unit>> = {
  ml: 'mL',
  mls: 'mL',
  cc: 'mL',
  millilitre: 'mL',
  millilitres: 'mL',
  milliliter: 'mL',
  milliliters: 'mL',
  'ml/h': 'mL/h',
  'ml/hr': 'mL/h',
  'ml/hour': 'mL/h',
  'cc/h': 'mL/h',
  'cc/hr': 'mL/h',
  cm: 'cm',
  centimetre: 'cm',
  centimetres: 'cm',
  centimeter: 'cm',
  centimeters: 'cm',
  mm: 'mm',
  millimetre: 'mm',
  millimetres: 'mm',
  'mm/s': 'mm/s',
  'mm/sec': 'mm/s',
  '/min': '/min',
  bpm: '/min',
  'beats/min': '/min',
  'u/ml': 'U/mL',
  'iu/ml': 'U/mL',
  'units/ml': 'U/mL',
  mmhg: 'mmHg',
  kg: 'kg',
  kgs: 'kg',
  kilo: 'kg',
  kilos: 'kg',
  kilogram: 'kg',
  kilograms: 'kg',
};

/** Words for units that are not taken, and what one of them is in the unit that is. */
const otherUnits = {
  cm: { inOurs: 10, ours: 'mm' },
  g: { inOurs: 0.001, ours: 'kg' },
  lb: { inOurs: 0.45359237, ours: 'kg' },
  L: { inOurs: 1000, ours: 'mL' },
  µL: { inOurs: 0.001, ours: 'mL' },
  mm: { inOurs: 0.1, ours: 'cm' },
  m: { inOurs: 100, ours: 'cm' },
  kPa: null,
  cmH2O: null,
  min: null,
  h: null,
  U: null,
  '%': null,
} as const satisfies Record<string, { inOurs: number; ours: Unit } | null>;

const otherUnitWords: Readonly<Record<string, OtherUnit>> = {
  g: 'g',
  gr: 'g',
  gram: 'g',
  grams: 'g',
  gramme: 'g',
  grammes: 'g',
  lb: 'lb',
  lbs: 'lb',
  pound: 'lb',
  pounds: 'lb',
  l: 'L',
  litre: 'L',
  litres: 'L',
  liter: 'L',
  liters: 'L',
  ul: 'µL',
  μl: 'µL',
  m: 'm',
  kpa: 'kPa',
  cmh2o: 'cmH2O',
  min: 'min',
  mins: 'min',
  minutes: 'min',
  h: 'h',
  hr: 'h',
  hrs: 'h',
  hours: 'h',
  u: 'U',
  iu: 'U',
  units: 'U',
  '%': '%',
};

/** Digits of full width, as some keyboards write them, and the true minus sign. */
function plainDigits(word: string): string {
  return word
    .replace(/[\uFF01-\uFF5E]/gu, (sign) => String.fromCharCode(sign.charCodeAt(0) - 0xfee0))
    .replace(/^[−–]/u, '-');
}

const numberThenRest = /^([+-]?\d{1,7}(?:[.,]\d{1,6})?)(?![\d.,:/]*\d)(.*)$/su;
/** Could be one thousand or one: nobody's life should hang on which keyboard it was. */
const thousandOrOne = /^[+-]?[1-9]\d{0,2}(?:,\d{3}|\.000)$/;

/** The number in a text such as `0.5`, `0,5` or `−2`; null when it is not one, or could be two. */
export function plainNumber(text: string): number | null {
  const plain = plainDigits(text.trim());
  if (!/^[+-]?\d{1,7}(?:[.,]\d{1,6})?$/.test(plain) || thousandOrOne.test(plain)) return null;
  return Number(plain.replace(',', '.'));
}

/** The quantity that begins at word `start`, unit included, or what is wrong with it; null when no number begins there. */
export function quantityAt(
  words: readonly string[],
  start: number,
): Quantity | { problem: string; used: number } | null {
  const sign = /^(?:[-−–]|minus)$/iu.test(words[start] ?? '') ? 1 : 0;
  const word = plainDigits((sign ? '-' : '') + (words[start + sign] ?? ''));
  const match = numberThenRest.exec(word);
  if (match === null) return null;
  const [, digits = '', glued = ''] = match;
  const found = unitFrom(glued, words, start + sign + 1);
  if (found === null) return null;
  const used = sign + 1 + found.used;
  const typed = words
    .slice(start, start + used)
    .join(' ')
    .replace(/[,;:]+$/u, '');
  if (thousandOrOne.test(digits)) {
    const one = digits.replace(',', '.').replace(/\.?0+$/, '');
    return {
      problem: `“${typed}” can be read as ${one} or as ${digits.replace(/[.,]/, '')}. Write it without a comma and without noughts after the point.`,
      used,
    };
  }
  return { value: Number(digits.replace(',', '.')), unit: found.unit, typed, used };
}

/** The unit glued to a number or in the words after it; null when what is glued to it is no unit at all. */
function unitFrom(
  glued: string,
  words: readonly string[],
  next: number,
): { unit: Quantity['unit']; used: number } | null {
  const own = foldWord(glued);
  if (glued !== '' && own === '') return { unit: null, used: 0 };
  const ahead = words.slice(next, next + 3).map(foldWord);
  const spelt = own === '' ? ahead : [own, ...ahead];
  const free = own === '' ? 0 : 1;
  // A comma ends the quantity: "1, ml" is two things.
  const [first = '', second = '', third = ''] = spelt;
  if (first === 'mm' && second === 'hg') return { unit: 'mmHg', used: 2 - free };
  if (first === 'cm' && second === 'h2o') return { unit: 'cmH2O', used: 2 - free };
  const hour = /^(?:h|hr|hour)$/;
  if (unitWords[first] === 'mL') {
    if (/^(?:\/h|\/hr|\/hour)$/.test(second)) return { unit: 'mL/h', used: 2 - free };
    if (/^(?:per|an|a|\/)$/.test(second) && hour.test(third)) return { unit: 'mL/h', used: 3 - free };
  }
  const unit = unitOf(first);
  if (unit !== undefined) return { unit, used: 1 - free };
  return own === '' ? { unit: null, used: 0 } : null;
}

function unitOf(word: string): Unit | OtherUnit | undefined {
  if (Object.hasOwn(unitWords, word)) return unitWords[word];
  return Object.hasOwn(otherUnitWords, word) ? otherUnitWords[word] : undefined;
}

/**
 * Why a quantity cannot be taken where one of `units` is asked, and what to write; null when its unit is one of them.
 *
 * Example: `450 g` where kg is asked → write 0.45 kg.
 */
export function unitProblem({ value, unit, typed }: Quantity, units: readonly Unit[]): string | null {
  if (unit === null) {
    if (units.length === 0) return null;
    return `“${typed}” has no unit. Write ${units.map((one) => quantityText(value, one)).join(' or ')}.`;
  }
  if (units.some((one) => one === unit)) return null;
  const other = Object.hasOwn(otherUnits, unit) ? otherUnits[unit as keyof typeof otherUnits] : null;
  if (other !== null && units.includes(other.ours)) {
    return `“${typed}” is in ${unit}; it has to be ${other.ours}. Write ${quantityText(Number((value * other.inOurs).toPrecision(3)), other.ours)}.`;
  }
  if (units.length === 0) return `“${typed}”: there’s no number to give here. Leave it out.`;
  return `“${typed}” is in ${unit}. Write it in ${units.join(' or ')}.`;
}
