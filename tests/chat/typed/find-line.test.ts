import { describe, expect, it } from 'vitest';
import { findLine } from '../../../src/chat/typed/find-line.ts';
import type { Side, Site } from '../../../src/domain/line/anatomy.ts';
import * as fc from '../../support/properties.ts';

const line = (name: string, site: Site = 'dorsal pedal', side: Side | null = 'left') => ({
  patient: { name, species: 'dog' as const, weightKg: 28 },
  site,
  side,
});
const lines = [
  line('Biscuit'),
  line('Biscuit', 'radial', 'right'),
  line('Mo'),
  line('Mo Junior', 'median caudal', null),
  line('Zoë'),
  line("O'Malley"),
  line('😺'),
  line('Łatka Ⅱ'),
];

/** What is found, in one line of text: name, site and what is left. */
function found(text: string, among = lines): string {
  const result = findLine(text, among);
  switch (result.is) {
    case 'one':
      return `${result.line.patient.name}, ${result.line.side ?? 'no side'} ${result.line.site} | ${result.rest}`;
    case 'which':
      return `which of ${result.lines.length} | ${result.rest}`;
    case 'unnamed':
    case 'none':
      return result.is;
  }
}

describe('findLine', () => {
  it.each([
    ['Mo 1 mL', 'Mo, left dorsal pedal | 1 mL'],
    ['MO', 'Mo, left dorsal pedal | '],
    ['ｍｏ 1 mL', 'Mo, left dorsal pedal | 1 mL'],
    ['Mo, 1 mL', 'Mo, left dorsal pedal | 1 mL'],
    ['Mo: 1 mL', 'Mo, left dorsal pedal | 1 mL'],
    ['Mo Junior 1 mL', 'Mo Junior, no side median caudal | 1 mL'],
    ['mo  junior at 02:10', 'Mo Junior, no side median caudal | at 02:10'],
    ['"Mo" Junior', 'Mo, left dorsal pedal | Junior'],
    ['“Mo Junior” 1 mL', 'Mo Junior, no side median caudal | 1 mL'],
    ["'Mo Junior' 1 mL", 'Mo Junior, no side median caudal | 1 mL'],
    ['Mo - 2 mmHg', 'Mo, left dorsal pedal | - 2 mmHg'],
    ['zoe fine', 'Zoë, left dorsal pedal | fine'],
    ['Zoe\u0308 fine', 'Zoë, left dorsal pedal | fine'],
    ['omalley', "O'Malley, left dorsal pedal | "],
    ['O’Malley fine', "O'Malley, left dorsal pedal | fine"],
    ['😺 1 mL', '😺, left dorsal pedal | 1 mL'],
    ['łatka II 1 mL', 'Łatka Ⅱ, left dorsal pedal | 1 mL'],
    ['Mo left pedal 1 mL', 'Mo, left dorsal pedal | 1 mL'],
    ['Biscuit 1 mL', 'which of 2 | 1 mL'],
    ['Biscuit left 1 mL', 'Biscuit, left dorsal pedal | 1 mL'],
    ['Biscuit left pedal 1 mL', 'Biscuit, left dorsal pedal | 1 mL'],
    ['Biscuit radial 1 mL', 'Biscuit, right radial | 1 mL'],
    ['Biscuit radial artery right 1 mL', 'Biscuit, right radial | 1 mL'],
    ['Biscuit tail 1 mL', 'which of 2 | 1 mL'],
    ['Mo right 1 mL', 'which of 1 | 1 mL'],
    ['', 'unnamed'],
    [' \n ', 'unnamed'],
    ['Bisquit 1 mL', 'none'],
    ['M 1 mL', 'none'],
    ['Moe', 'none'],
  ])('finds by %j %j', (text, expected) => {
    expect(found(text)).toBe(expected);
  });

  it('takes the spelling typed where only accents tell two patients apart', () => {
    const two = [line('Zoë'), line('Zoe', 'radial')];
    expect(found('Zoe', two)).toBe('Zoe, left radial | ');
    expect(found('ZOË', two)).toBe('Zoë, left dorsal pedal | ');
  });

  it('says whom it may have been, and which lines there are', () => {
    const result = findLine('Bisquit 1 mL', [line('Biscuit'), line('Mo', 'median caudal', null)]);
    expect(result).toMatchObject({
      is: 'none',
      message:
        'No line here is called “Bisquit 1 mL”. Did you mean Biscuit? Lines here: Biscuit (left dorsal pedal), Mo (median caudal). Write the name right after the verb.',
    });
  });

  it('says that there is no such line of the patient, and which there are', () => {
    expect(findLine('Mo right', [line('Mo')])).toMatchObject({
      message: 'Mo has no right line. There is: left dorsal pedal. Which one?',
    });
  });

  it('names at most 20 lines', () => {
    const many = Array.from({ length: 25 }, (_, index) => line(`Patient ${index}`));
    expect(findLine('', many)).toMatchObject({
      message: expect.stringContaining('Patient 19 (left dorsal pedal) and 5 more'),
    });
  });

  it('says how to register one where there is none', () => {
    expect(findLine('Mo', [], '/lines')).toMatchObject({
      message: 'No line here is called “Mo”. No line is registered here. /lines place registers one.',
    });
  });

  it('finds every visible name by its own spelling, in any case, with anything after it', () => {
    const name = fc.stringMatching(/^[A-Za-zÀ-žΑ-Ωα-ω]{3,12}( [A-Za-z]{3,12})?$/u);
    fc.assert(
      fc.property(name, (typed) => {
        for (const spelling of [typed, typed.toUpperCase(), typed.normalize('NFD'), `"${typed}"`]) {
          expect(findLine(`${spelling} 1 mL`, [line(typed)])).toMatchObject({ is: 'one', rest: '1 mL' });
        }
      }),
    );
  });

  it('takes any text among any names', () => {
    const text = fc.string({ unit: 'binary', maxLength: 80 });
    fc.assert(
      fc.property(text, fc.array(text, { maxLength: 5 }), (typed, names) => {
        expect(['one', 'which', 'none', 'unnamed']).toContain(
          findLine(
            typed,
            names.map((name) => line(name)),
          ).is,
        );
      }),
    );
    expect(findLine('x '.repeat(2000), lines).is).toBe('none');
  });
});
