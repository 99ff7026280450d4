import { describe, expect, it } from 'vitest';
import { cleanText, excerpt, longestName, patientName } from '../../../src/chat/typed/clean-text.ts';
import * as fc from '../../support/properties.ts';

/** Any UTF-16 at all: lone surrogates, controls, marks, emoji. */
const anyText = fc.oneof(
  fc.string({ unit: 'binary', maxLength: 200 }),
  fc.string({ unit: 'grapheme', maxLength: 100 }),
  fc
    .array(fc.integer({ min: 0, max: 0xffff }), { maxLength: 100 })
    .map((units) => String.fromCharCode(...units)),
);
// Unicode 16, Bidi_Control property (UAX 44), and the general category Cc.
const unsafe = /[\p{Cc}\u061C\u200E\u200F\u202A-\u202E\u2066-\u2069]/u;

describe('cleanText', () => {
  it.each([
    ['  Biscuit\n\t the \r\n  dog ', 'Biscuit the dog'],
    ['Bis\u0000cuit', 'Bis cuit'],
    ['Bis\u202Etiuc\u202C', 'Bistiuc'],
    ['\u2067Mo\u2069', 'Mo'],
    ['M\u200Bo', 'Mo'],
    ['Zoe\u0308', 'Zoë'],
    [`Z${'\u0301'.repeat(50)}alko`, `Ź${'\u0301'.repeat(3)}alko`],
    ['\u0301\u0302 Mo', 'Mo'],
    ['👩‍⚕️ Mo', '👩‍⚕️ Mo'],
    ['كلب', 'كلب'],
    ['पपी', 'पपी'],
    ['\uD800x', '\uFFFDx'],
    ['\u2028', ''],
  ])('makes %j into %j', (typed, clean) => {
    expect(cleanText(typed)).toBe(clean);
  });

  it('takes out each of the Bidi_Control characters of Unicode (UAX 44, PropList) wherever it stands', () => {
    const signs = '\u061C\u200E\u200F\u202A\u202B\u202C\u202D\u202E\u2066\u2067\u2068\u2069';
    expect(Array.from(signs, (sign) => cleanText(`${sign}B${sign}i${sign}`))).toEqual(
      Array.from(signs, () => 'Bi'),
    );
  });

  it('leaves no control, no bidirectional control and no more than three marks in a row, whatever was typed', () => {
    fc.assert(
      fc.property(anyText, (typed) => {
        const clean = cleanText(typed);
        expect(clean).not.toMatch(unsafe);
        expect(clean).not.toMatch(/\p{M}{4}/u);
        expect(clean.isWellFormed()).toBe(true);
      }),
      { numRuns: 1000 },
    );
  });

  it('changes nothing the second time', () => {
    fc.assert(
      fc.property(anyText, (typed) => {
        expect(cleanText(cleanText(typed))).toBe(cleanText(typed));
      }),
      { numRuns: 1000 },
    );
  });
});

describe('patientName', () => {
  it.each(['', '   ', '\u202E', '\u200D', '\u3164', '\u0301', '\u2800'])(
    'refuses %j, which nobody could see',
    (typed) => {
      expect(patientName(typed)).toEqual({
        problem: 'No name was given. Write the patient’s name as on the cage card.',
      });
    },
  );

  it.each(['7', '😺', 'Ω', '#2'])('takes %j', (typed) => {
    expect(patientName(typed)).toEqual({ name: typed });
  });

  it('takes 40 characters and refuses 41, saying how many there are', () => {
    expect(patientName('x'.repeat(longestName))).toEqual({ name: 'x'.repeat(40) });
    expect(patientName('x'.repeat(41))).toEqual({
      problem: `The name has 41 characters; the most is 40. Shorten “${'x'.repeat(39)}…”.`,
    });
  });
});

describe('excerpt', () => {
  it('never has more than 40 characters nor half an emoji, whatever was typed', () => {
    fc.assert(
      fc.property(anyText, (typed) => {
        expect(excerpt(typed).length).toBeLessThanOrEqual(40);
        expect(excerpt(typed).isWellFormed()).toBe(true);
      }),
    );
  });
});
