import { describe, expect, it } from 'vitest';
import { plainNumber, quantityAt, unitProblem } from '../../../src/chat/typed/quantity-words.ts';
import type { Unit } from '../../../src/chat/verbs/verb.ts';
import * as fc from '../../support/properties.ts';

/** The quantity at the start of a text, as `value unit (words used)`, or the problem. */
function read(text: string): string | null {
  const quantity = quantityAt(text.split(' '), 0);
  if (quantity === null) return null;
  return 'problem' in quantity
    ? quantity.problem
    : `${quantity.value} ${String(quantity.unit)} (${quantity.used})`;
}

describe('quantityAt', () => {
  it.each([
    ['1ml', '1 mL (1)'],
    ['1 mL', '1 mL (2)'],
    ['0.5 ml', '0.5 mL (2)'],
    ['0,5 ml', '0.5 mL (2)'],
    ['１ｍｌ', '1 mL (1)'],
    ['1㎖', '1 mL (1)'],
    ['28kg', '28 kg (1)'],
    ['28 kg', '28 kg (2)'],
    ['3 ml/h', '3 mL/h (2)'],
    ['3ml/hr', '3 mL/h (1)'],
    ['3 ml per hour', '3 mL/h (4)'],
    ['3 ml an hour', '3 mL/h (4)'],
    ['3 ml /h', '3 mL/h (3)'],
    ['300mmHg', '300 mmHg (1)'],
    ['300 mm Hg', '300 mmHg (3)'],
    ['8 cm below', '8 cm (2)'],
    ['-2 mmHg', '-2 mmHg (2)'],
    ['−2 mmHg', '-2 mmHg (2)'],
    ['- 2 mmHg', '-2 mmHg (3)'],
    ['minus 2 mmHg', '-2 mmHg (3)'],
    ['1 mL,', '1 mL (2)'],
    ['450 g', '450 g (2)'],
    ['12lbs', '12 lb (1)'],
    ['28', '28 null (1)'],
    ['28, ml', '28 null (1)'],
    ['28 dogs', '28 null (1)'],
  ])('reads %j as %s', (text, expected) => {
    expect(read(text)).toBe(expected);
  });

  // Each of these would become another number if it were folded or cut: it is no quantity at all.
  it.each(['5²ml', '1½ ml', '1e3 ml', '02:10', '120/80', '1.2.3 ml', '3x', 'ml', '', '-', '１:２'])(
    'reads no number in %j',
    (text) => {
      expect(read(text)).toBeNull();
    },
  );

  it.each([
    ['1,000 ml', '“1,000 ml” can be read as 1 or as 1000.'],
    ['1.000 ml', '“1.000 ml” can be read as 1 or as 1000.'],
    ['12,500 ml', '“12,500 ml” can be read as 12.5 or as 12500.'],
  ])('refuses %j: %s', (text, problem) => {
    expect(read(text)).toBe(`${problem} Write it without a comma and without noughts after the point.`);
  });

  it('gives back every number of tenths with its unit, however it is spaced', () => {
    const units: Unit[] = ['mL', 'mL/h', 'cm', 'mmHg', 'kg'];
    fc.assert(
      fc.property(
        fc.integer({ min: -3000, max: 3000 }),
        fc.constantFrom(...units),
        fc.constantFrom('', ' '),
        (tenths, unit, gap) => {
          expect(read(`${tenths / 10}${gap}${unit}`)).toBe(`${tenths / 10} ${unit} (${gap === '' ? 1 : 2})`);
        },
      ),
    );
  });
});

describe('unitProblem', () => {
  const problem = (text: string, units: Unit[]) => {
    const quantity = quantityAt(text.split(' '), 0);
    if (quantity === null || 'problem' in quantity) throw new Error(`no quantity in ${text}`);
    return unitProblem(quantity, units);
  };

  // 1 lb is 0.45359237 kg exactly (NIST Special Publication 811, appendix B.8).
  it.each<[string, Unit[], string | null]>([
    ['1 mL', ['mL'], null],
    ['28', ['kg'], '“28” has no unit. Write 28 kg.'],
    ['300', ['mL', 'mmHg'], '“300” has no unit. Write 300 mL or 300 mmHg.'],
    ['450 g', ['kg'], '“450 g” is in g; it has to be kg. Write 0.45 kg.'],
    ['12 lb', ['kg'], '“12 lb” is in lb; it has to be kg. Write 5.44 kg.'],
    ['1 l', ['mL'], '“1 l” is in L; it has to be mL. Write 1000 mL.'],
    ['80 mm', ['cm'], '“80 mm” is in mm; it has to be cm. Write 8 cm.'],
    ['16 kPa', ['mmHg'], '“16 kPa” is in kPa. Write it in mmHg.'],
    ['8 cm', ['mL', 'mL/h'], '“8 cm” is in cm. Write it in mL or mL/h.'],
    ['8 cm', [], '“8 cm”: there’s no number to give here. Leave it out.'],
  ])('of %j where %j is asked is %j', (text, units, expected) => {
    expect(problem(text, units)).toBe(expected);
  });
});

describe('plainNumber', () => {
  it.each([
    ['0.5', 0.5],
    ['0,5', 0.5],
    ['−2', -2],
    [' 28 ', 28],
    ['1,000', null],
    ['1e3', null],
    ['Infinity', null],
    ['', null],
  ])('reads %j as %j', (text, number) => {
    expect(plainNumber(text)).toBe(number);
  });
});
