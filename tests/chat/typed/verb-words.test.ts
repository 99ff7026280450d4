import { describe, expect, it } from 'vitest';
import { parseCommand } from '../../../src/chat/typed/parse-command.ts';
import { valuesFromWords } from '../../../src/chat/typed/verb-words.ts';
import { lineVerb, lineVerbs } from '../../../src/chat/verbs/line-verbs.ts';
import type { LineVerb } from '../../../src/chat/verbs/verb.ts';
import * as fc from '../../support/properties.ts';
import { fittingValues } from '../verbs/values-of-fields.ts';
import { wordsOfValues } from './words-of-values.ts';

/** Wed 25 Nov 2026, 04:10:30 in Berlin. */
const ward = { now: Date.parse('2026-11-25T03:10:30Z'), zone: 'Europe/Berlin' };

function verbNamed(name: string): LineVerb {
  const verb = lineVerb(name);
  if (!verb) throw new Error(`no verb ${name}`);
  return verb;
}

const read = (name: string, text: string) => valuesFromWords(verbNamed(name), text, ward);

describe('valuesFromWords', () => {
  it.each<[string, string, object]>([
    ['flush', '', {}],
    ['flush', '1ml', { volume: 1 }],
    // A heart rate by its usual short name needs no unit: common practice, no source.
    ['reading', '130/85 (98) mmHg hr 190', { sap: 130, dap: 85, map: 98, rate: 190 }],
    ['reading', '130/85 mmHg 190 /min', { sap: 130, dap: 85, rate: 190 }],
    ['test', 'normal HR 190', { verdict: 'normal', rate: 190 }],
    // As the bot itself says it.
    ['fault', 'flat trace', { sign: 'flat' }],
    ['fault', 'spiky trace', { sign: 'spiky' }],
    ['flush', '0,5 mL', { volume: 0.5 }],
    ['level', '8 cm below', { height: 8, where: 'below' }],
    ['level', 'below 8cm', { height: 8, where: 'below' }],
    ['level', '8 cm below the heart', { height: 8, where: 'below' }],
    ['zero', '-2 mmHg', { openToAir: -2 }],
    ['zero', 'open to air 3 mmHg not levelled', { openToAir: 3, level: 'not levelled' }],
    ['test', 'cannot tell', { verdict: 'cannot tell' }],
    ['test', "can't tell", { verdict: 'cannot tell' }],
    ['test', 'Overdamped: slurred, slow', { verdict: 'overdamped' }],
    ['redress', 'swelling and ooze', { findings: ['swelling', 'ooze'] }],
    ['check', 'nothing amiss', { site: 'nothing amiss' }],
    ['check', 'ok', { site: 'nothing amiss' }],
    ['redress', 'fine', { site: 'nothing amiss' }],
    ['check', 'not looked at', { site: 'site not looked at' }],
    ['check', 'cold, no pulse', { findings: ['cold', 'noPulse'] }],
    ['check', 'note toes pale at 02:10', { note: 'toes pale at 02:10' }],
    ['check', 'swelling "toes pale" cold', { findings: ['swelling', 'cold'], note: 'toes pale' }],
    ['sample', '1 mL', { volume: 1 }],
    [
      'sample',
      '1 mL, discard 2 mL returned, not flushed',
      { volume: 1, discard: 2, discardReturned: 'returned', flushed: 'not flushed' },
    ],
    ['sample', 'discard 2ml 1ml', { volume: 1, discard: 2 }],
    ['reading', '120/80 mmHg', { sap: 120, dap: 80 }],
    ['reading', '120/80 (93) mmHg', { sap: 120, dap: 80, map: 93 }],
    ['reading', '120／80（93） mmHg', { sap: 120, dap: 80, map: 93 }],
    [
      'source',
      'changed bag 500 mL at 2.50 mL/h',
      { what: 'changed', kind: 'pressure bag', volume: 500, rate: 2.5 },
    ],
    ['check', 'cold paw', { findings: ['cold'] }],
    ['check', 'site clean', { site: 'nothing amiss' }],
    ['reading', '120/80/93mmHg', { sap: 120, dap: 80, map: 93 }],
    ['reading', '120/80 mean 93 mmHg', { sap: 120, dap: 80, map: 93 }],
    ['reading', 'systolic 120 mmHg diastolic 80 mmHg', { sap: 120, dap: 80 }],
    ['moved', 'disconnected', { how: 'disconnected' }],
    ['source', 'checked 250 mL left', { what: 'checked', volume: 250 }],
    [
      'source',
      'changed with new set, bag 500 mL at 3 mL/h, 300 mmHg',
      { what: 'changed with new set', kind: 'pressure bag', volume: 500, rate: 3, pressure: 300 },
    ],
    ['source', 'to manual', { what: 'to manual' }],
    ['remove', 'planned, tip whole', { reason: 'planned', tip: 'tip whole' }],
    ['remove', 'swelling swelling', { reason: 'swelling', findings: ['swelling'] }],
    ['fault', 'flat', { sign: 'flat' }],
    ['fault', 'ringing', { sign: 'spiky' }],
    ['fault', 'none', { sign: 'none' }],
    ['fault', 'no trace', { sign: 'none' }],
    ['fault', 'wandering', { sign: 'drifting' }],
    ['pulse', 'weak and cold', { pulse: 'weak', warmth: 'cold' }],
  ])('reads for %s %j as %j', (name, text, values) => {
    const result = read(name, text);
    expect(result).toEqual({ values, at: ward.now, isTimeGiven: false });
  });

  it.each<[string, string, string]>([
    ['flush', '1', '“1” has no unit. Write 1 mL or 1 U/mL.'],
    ['flush', '50 mL', 'Volume flushed: 50 mL cannot be right. Give 0.1 to 20 mL.'],
    ['flush', '1 kg', '“1 kg” is in kg. Write it in mL or U/mL.'],
    ['flush', '1 mL 2 mL', 'Volume flushed is there twice: 1 mL and 2 mL. Write one.'],
    ['flush', 'foo 1 mL', 'I didn’t understand “foo”. Write it like this: /artline flush Biscuit 1 mL'],
    ['flush', 'not 1 mL', 'I didn’t understand “not”. Write it like this: /artline flush Biscuit 1 mL'],
    [
      'check',
      'no swelling',
      'I didn’t understand “no”. Write it like this: /artline check Biscuit nothing amiss. What you saw is written swollen, painful, oozing, cold, no pulse, soiled.',
    ],
    ['zero', 'ok', 'I didn’t understand “ok”. Write it like this: /artline zero Biscuit open to air 3 mmHg'],
    ['check', `note ${'x'.repeat(501)}`, 'Note has 501 characters; the most is 500. Shorten it.'],
    [
      'test',
      'normal overdamped',
      'Trace after the fast flush is there twice: Normal and Overdamped: slurred, slow. Write one.',
    ],
    ['sample', '1 mL 2 mL', '“2 mL”: say what it is, for example “discard 2 mL”.'],
    ['reading', '120/80', '“120/80” has no unit. Write 120/80 mmHg.'],
    ['reading', '120 mmHg', '“120 mmHg”: say what it is, for example “sap 120 mmHg”.'],
    ['source', '300', '“300” has no unit. Write 300 mL or 300 mL/h or 300 mmHg or 300 U/mL.'],
    ['level', '8', '“8” has no unit. Write 8 cm.'],
    [
      'check',
      'swolen',
      'I didn’t understand “swolen”. Did you mean “swollen”? Write it like this: /artline check Biscuit nothing amiss. What you saw is written swollen, painful, oozing, cold, no pulse, soiled.',
    ],
    [
      'moved',
      'to the cage',
      'I didn’t understand “to cage”. Write it like this: /artline moved Biscuit disconnected',
    ],
    // A name typed and not picked is nobody; the example of another use would lead away from it.
    ['moved', 'to theatre with @ana', 'I don’t know “@ana”. Write @ and pick the person from the list.'],
    ['flush', '1 mL @ana', 'I didn’t understand “@ana”. Write it like this: /artline flush Biscuit 1 mL'],
    ['flush', 'at 19.25', '“19.25”: write the time on the 24-hour clock with a colon, 19:25.'],
    ['flush', '1 mL 7pm', '“7pm”: write the time on the 24-hour clock with a colon, 19:00.'],
    ['flush', '12:10 a.m.', '“12:10 a.m.”: write the time on the 24-hour clock with a colon, 00:10.'],
    ['flush', 'at 19h25', '“19h25”: write the time on the 24-hour clock with a colon, 19:25.'],
    ['flush', 'at noon', '“noon”: write the time on the 24-hour clock with a colon, 12:00.'],
    ['moved', '8 cm', '“8 cm” is in cm. Write it in mL.'],
  ])('refuses for %s %j: %s', (name, text, problem) => {
    const result = read(name, text);
    expect('problems' in result ? result.problems[0] : result).toBe(problem);
  });

  it('takes a time anywhere between the other words', () => {
    const at = Date.parse('2026-11-25T01:10Z');
    for (const text of ['1 mL at 02:10', 'at 02:10 1 mL', '02:10, 1 mL']) {
      expect(read('flush', text)).toEqual({ values: { volume: 1 }, at, isTimeGiven: true });
    }
  });

  it.each(lineVerbs)('reads the example of $verb whole', (verb) => {
    const command = parseCommand(verb.example.replace('/artline ', ''));
    if (command.is !== 'verb') throw new Error('the example is no command');
    expect(command.rest).toMatch(/^Biscuit /);
    expect(valuesFromWords(verb, command.rest.slice('Biscuit '.length), ward)).toHaveProperty('values');
  });

  it.each(lineVerbs)('gives back what the words for $verb were made from, time included', (verb) => {
    fc.assert(
      fc.property(fittingValues(verb), fc.option(fc.integer({ min: 1, max: 600 })), (values, minutesAgo) => {
        const { words, text } = wordsOfValues(verb, values);
        const time = minutesAgo === null ? '' : `${minutesAgo} min ago`;
        const result = valuesFromWords(verb, `${words} ${time} ${text}`, ward);
        expect(result).toEqual({
          values,
          at: ward.now - (minutesAgo ?? 0) * 60_000,
          isTimeGiven: minutesAgo !== null,
        });
      }),
    );
  });

  it('answers 2,000 wrong numbers with few sentences', () => {
    const text = Array.from({ length: 2000 }, (_, index) => String(index)).join(' ');
    const result = read('flush', text);
    expect('problems' in result ? result.problems : []).toEqual([
      '“0” has no unit. Write 0 mL or 0 U/mL.',
      '“1” has no unit. Write 1 mL or 1 U/mL.',
      '“2” has no unit. Write 2 mL or 2 U/mL.',
      '“3” has no unit. Write 3 mL or 3 U/mL.',
      'And 1996 more like these.',
    ]);
  });

  it.each(lineVerbs)('takes any words at all after $verb', (verb) => {
    const vocabulary = [
      '1',
      'mL',
      '8',
      'cm',
      'at',
      '02:10',
      'discard',
      'no',
      'pulse',
      'note',
      '"',
      '“',
      '120/80',
      '(93)',
      '-',
      'with',
      'tip',
      'not',
    ];
    const word = fc.oneof(fc.constantFrom(...vocabulary), fc.string({ unit: 'binary', maxLength: 10 }));
    fc.assert(
      fc.property(fc.array(word, { maxLength: 30 }), (words) => {
        const result = valuesFromWords(verb, words.join(' '), ward);
        const texts = 'problems' in result ? result.problems : Object.values(result.values).map(String);
        for (const text of texts) expect(text).not.toMatch(/[\p{Cc}\u202A-\u202E\u2066-\u2069]/u);
      }),
      { numRuns: 50 },
    );
    expect(valuesFromWords(verb, 'x '.repeat(2000), ward)).toHaveProperty('problems');
  });
});
