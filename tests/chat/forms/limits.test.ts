import { describe, expect, it } from 'vitest';
import { limits } from '../../../src/slack/render/limits.ts';
import { escaped, shortMrkdwn as shorten } from '../../../src/slack/render/mrkdwn.ts';
import * as fc from '../../support/properties.ts';

describe('shortening mrkdwn', () => {
  it.each([
    ['Flush: Biscuit', 24, 'Flush: Biscuit'],
    ['Fast-flush test: Biscuit Junior', 24, 'Fast-flush test: Biscui…'],
    ['Mo and Jo', 4, 'Mo…'],
    ['a&amp;b&amp;c', 8, 'a&amp;b…'],
    ['a&amp;b', 6, 'a…'],
    ['hi <@U0NURSE> there', 13, 'hi…'],
    ['hi <@U0NURSE> there', 14, 'hi <@U0NURSE>…'],
    ['at <!date^1^{time}|02:10> or so', 10, 'at…'],
    ['👩‍👩‍👧‍👦👩‍👩‍👧‍👦', 15, '👩‍👩‍👧‍👦…'],
    [`a${'\u0301'.repeat(50)}b`, 20, '…'],
    ['anything', 1, '…'],
    ['anything', 0, ''],
    ['', 10, ''],
  ])('makes of %j in %i %j', (text, max, short) => {
    expect(shorten(text, max)).toBe(short);
  });

  it('never exceeds the limit, never halves an escape, a mention or an emoji', () => {
    const piece = fc.oneof(
      fc.string({ unit: 'grapheme', maxLength: 12 }).map(escaped),
      fc.constantFrom('&amp;', '&lt;', '<@U0NURSE>', '<!date^1^{time}|02:10>', '🇩🇪'),
    );
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 30 }), fc.integer({ min: 1, max: 120 }), (pieces, max) => {
        const short = shorten(pieces.join(''), max);
        expect(short.length).toBeLessThanOrEqual(max);
        expect(short.isWellFormed()).toBe(true);
        expect(short.replace(/&(?:amp|lt|gt);|<[^<>]*>/g, '')).not.toMatch(/[&<>]/);
      }),
      { numRuns: 1000 },
    );
  });
});

describe('limits', () => {
  // Slack Block Kit reference (docs.slack.dev): section text, header, button, option, placeholder, modal title,
  // modal blocks, private_metadata; option value is 150 on one page and 75 in the published types.
  it.each<[keyof typeof limits, number]>([
    ['sectionText', 3000],
    ['headerText', 150],
    ['buttonText', 75],
    ['optionText', 75],
    ['optionValue', 75],
    ['placeholder', 150],
    ['modalTitle', 24],
    ['modalBlocks', 100],
    ['privateMetadata', 3000],
    ['selectOptions', 100],
    ['choiceOptions', 10],
  ])('has for %s %i', (name, limit) => {
    expect(limits[name]).toBe(limit);
  });
});
