import { describe, expect, it } from 'vitest';
import { lineVerb, lineVerbs } from '../../../src/chat/verbs/line-verbs.ts';
import type { LineVerb, Values } from '../../../src/chat/verbs/verb.ts';
import { defaultPolicy } from '../../../src/domain/policy/ward-policy.ts';
import { bodySchema } from '../../../src/domain/record/entry.ts';
import { LineLog } from '../../support/line-builder.ts';
import * as fc from '../../support/properties.ts';
import { fittingValues } from './values-of-fields.ts';

const policy = defaultPolicy('UTC');

const byHand = new LineLog('20:00').state();
const fromBag = new LineLog('20:00', {
  flushMode: 'continuous',
  source: { kind: 'pressure bag', volumeMl: 500, rateMlPerH: 3, pressureMmHg: 300 },
}).state();

const byHandAgain = new LineLog('20:00', {
  flushMode: 'continuous',
  source: { kind: 'pressure bag', volumeMl: 500, rateMlPerH: 3 },
})
  .add('flushModeChanged', '22:00', { mode: 'manual' })
  .state();

function verbNamed(name: string): LineVerb {
  const verb = lineVerb(name);
  if (!verb) throw new Error(`no verb ${name}`);
  return verb;
}

/** Bodies by kind, or the ids of the fields that were wrong. */
function outcome(name: string, values: Values, line = byHand): unknown {
  const result = verbNamed(name).drafts(values, line, policy);
  return 'problems' in result
    ? result.problems.map(({ field }) => `wrong: ${field}`)
    : result.drafts.map(({ kind, body }) => ({ [kind]: body }));
}

const bag = 'pressure bag';

describe('the drafts of a verb', () => {
  it.each<[string, Values, unknown]>([
    ['flush', {}, [{ flushed: {} }]],
    ['flush', { volume: 1.5 }, [{ flushed: { volumeMl: 1.5 } }]],
    ['flush', { volume: 20.1 }, ['wrong: volume']],
    ['flush', { volume: 0 }, ['wrong: volume']],
    ['level', {}, [{ levelled: {} }]],
    ['level', { height: 8, where: 'below' }, [{ levelled: { belowHeartCm: 8 } }]],
    ['level', { height: 8, where: 'above' }, [{ levelled: { belowHeartCm: -8 } }]],
    ['level', { height: 0, where: 'above' }, [{ levelled: {} }]],
    ['level', { height: 8 }, ['wrong: where']],
    ['level', { where: 'below' }, ['wrong: height']],
    ['zero', {}, [{ levelled: {} }, { zeroed: {} }]],
    ['zero', { openToAir: -2 }, [{ levelled: {} }, { zeroed: { openToAirMmHg: -2 } }]],
    ['zero', { level: 'not levelled' }, [{ zeroed: {} }]],
    ['test', {}, ['wrong: verdict']],
    ['test', { verdict: 'underdamped' }, [{ fastFlushTested: { verdict: 'underdamped' } }]],
    ['test', { verdict: 'splendid' }, ['wrong: verdict']],
    ['fault', { sign: 'none' }, [{ faultOpened: { sign: 'none' } }]],
    ['fault', { sign: 'sideways' }, ['wrong: sign']],
    ['redress', {}, ['wrong: site']],
    ['redress', { site: 'nothing amiss' }, [{ redressed: { finding: {} } }]],
    ['redress', { site: 'site not looked at' }, [{ redressed: {} }]],
    ['redress', { site: 'site not looked at', findings: ['ooze'] }, ['wrong: site']],
    ['redress', { findings: ['ooze'] }, [{ redressed: { finding: { ooze: true } } }]],
    ['check', {}, ['wrong: site']],
    ['check', { note: 'toes pale' }, ['wrong: site']],
    ['check', { site: 'nothing amiss' }, [{ siteChecked: { finding: {} } }]],
    ['check', { site: 'nothing amiss', findings: ['cold'] }, ['wrong: site']],
    ['check', { site: 'something amiss' }, ['wrong: findings']],
    ['check', { site: 'site not looked at' }, []],
    ['check', { site: 'site not looked at', note: 'asleep' }, ['wrong: note']],
    [
      'check',
      { findings: ['cold', 'noPulse'], note: ' toes pale ' },
      [{ siteChecked: { finding: { cold: true, noPulse: true }, note: 'toes pale' } }],
    ],
    ['check', { findings: ['sparkling'] }, ['wrong: findings', 'wrong: site']],
    ['sample', {}, ['wrong: volume']],
    ['sample', { volume: 1 }, [{ sampled: { volumeMl: 1 } }]],
    ['sample', { volume: 1, flushed: 'flushed' }, [{ sampled: { volumeMl: 1, flushed: true } }]],
    [
      'sample',
      { volume: 1, discard: 2, discardReturned: 'returned', flushed: 'not flushed' },
      [{ sampled: { volumeMl: 1, discardMl: 2, discardReturned: true, flushed: false } }],
    ],
    ['sample', { volume: 1, discardReturned: 'not returned' }, ['wrong: discard']],
    ['reading', { sap: 120 }, ['wrong: dap']],
    ['reading', { sap: 120, dap: 80, map: 93 }, [{ reading: { sapMmHg: 120, dapMmHg: 80, mapMmHg: 93 } }]],
    ['reading', { sap: 80, dap: 120 }, ['wrong: dap']],
    ['reading', { sap: 120, dap: 80, map: 121 }, ['wrong: map']],
    ['moved', {}, [{ disturbed: { how: 'moved' } }]],
    ['moved', { how: 'disconnected' }, [{ disturbed: { how: 'disconnected' } }]],
    ['remove', {}, ['wrong: reason']],
    ['remove', { reason: 'planned' }, [{ removed: { reason: 'planned' } }]],
    [
      'remove',
      { reason: 'occluded', tip: 'tip not whole', findings: ['swelling'] },
      [{ removed: { reason: 'occluded', tipWhole: false, finding: { swelling: true } } }],
    ],
    ['pulse', {}, ['wrong: pulse']],
    ['pulse', { pulse: 'weak', warmth: 'cold' }, [{ pulseChecked: { pulse: 'weak', cold: true } }]],
    ['pulse', { pulse: 'present', warmth: 'warm' }, [{ pulseChecked: { pulse: 'present', cold: false } }]],
  ])('of %s with %j are %j', (name, values, expected) => {
    expect(outcome(name, values)).toEqual(expected);
  });

  it.each<[string, Values, typeof byHand, unknown]>([
    ['a check by hand', { what: 'checked' }, byHand, [{ sourceChecked: {} }]],
    [
      'a check of the bag',
      { what: 'checked', volume: 0, pressure: 300 },
      fromBag,
      [{ sourceChecked: { volumeLeftMl: 0, pressureMmHg: 300 } }],
    ],
    ['a check that names another source', { what: 'checked', kind: 'syringe' }, fromBag, ['wrong: kind']],
    ['a check that would set a rate', { what: 'checked', rate: 4 }, fromBag, ['wrong: rate']],
    [
      'a new bag at the rate as before',
      { what: 'changed', volume: 500 },
      fromBag,
      [{ sourceChanged: { source: { kind: bag, volumeMl: 500, rateMlPerH: 3 }, newSet: false } }],
    ],
    ['a new bag of unknown volume', { what: 'changed' }, fromBag, ['wrong: volume']],
    ['a new empty bag', { what: 'changed', volume: 0 }, fromBag, ['wrong: volume']],
    [
      'a new syringe and set',
      { what: 'changed with new set', kind: 'syringe', volume: 50, rate: 1 },
      fromBag,
      [{ sourceChanged: { source: { kind: 'syringe', volumeMl: 50, rateMlPerH: 1 }, newSet: true } }],
    ],
    ['a new source of no kind by hand', { what: 'changed' }, byHand, ['wrong: kind']],
    [
      'continuous without values',
      { what: 'to continuous' },
      byHand,
      ['wrong: kind', 'wrong: volume', 'wrong: rate'],
    ],
    [
      'continuous once more at a rate not told',
      { what: 'to continuous', volume: 500 },
      byHandAgain,
      ['wrong: rate'],
    ],
    [
      'continuous from a bag',
      { what: 'to continuous', kind: bag, volume: 500, rate: 3, pressure: 300 },
      byHand,
      [
        {
          flushModeChanged: {
            mode: 'continuous',
            source: { kind: bag, volumeMl: 500, rateMlPerH: 3, pressureMmHg: 300 },
          },
        },
      ],
    ],
    ['manual', { what: 'to manual' }, fromBag, [{ flushModeChanged: { mode: 'manual' } }]],
    ['manual with a rate', { what: 'to manual', rate: 3 }, fromBag, ['wrong: rate']],
  ])('of source, %s, depend on the line', (_, values, line, expected) => {
    expect(outcome('source', values, line)).toEqual(expected);
  });

  it('says the value, what is allowed with its unit, and what to do', () => {
    expect(verbNamed('flush').drafts({ volume: 50 }, byHand, policy)).toEqual({
      problems: [{ field: 'volume', message: 'Volume flushed: 50 mL cannot be right. Give 0.1 to 20 mL.' }],
    });
  });

  it.each(lineVerbs)('of $verb fit the record whatever fitting values were filled in', (verb) => {
    fc.assert(
      fc.property(fittingValues(verb), fc.constantFrom(byHand, fromBag), (values, line) => {
        const result = verb.drafts(values, line, policy);
        const { drafts, problems } = { drafts: [], problems: [], ...result };
        // A check of a site that nobody looked at is told and records nothing.
        const isNothing =
          verb.verb === 'check' && JSON.stringify(values) === JSON.stringify({ site: 'site not looked at' });
        expect(drafts.length > 0 || isNothing).toBe(problems.length === 0);
        const ids = verb.fields.map(({ id }) => id);
        for (const { field, message } of problems) {
          expect(ids).toContain(field);
          expect(message).toMatch(/^[A-Z“].*\.$/s);
        }
        for (const { kind, body } of drafts) expect(bodySchema(kind).safeParse(body).error).toBeUndefined();
      }),
    );
  });

  it.each(lineVerbs)('of $verb are refused or fit the record whatever was filled in', (verb) => {
    const anything = fc.oneof(fc.double(), fc.string({ maxLength: 600 }), fc.array(fc.string()));
    const ids = verb.fields.map(({ id }) => id);
    fc.assert(
      fc.property(fc.dictionary(fc.constantFrom(...ids), anything), (values) => {
        const result = verb.drafts(values, byHand, policy);
        const drafts = 'drafts' in result ? result.drafts : [];
        // A site that nobody looked at is told and records nothing.
        const isNothing = drafts.length === 0 && values.site === 'site not looked at';
        expect('problems' in result).toBe(drafts.length === 0 && !isNothing);
        for (const { kind, body } of drafts) expect(bodySchema(kind).safeParse(body).error).toBeUndefined();
      }),
    );
  });

  it.each(lineVerbs)('of $verb can be told with nothing filled in exactly when it is bare', (verb) => {
    const told = 'drafts' in verb.drafts({}, byHand, policy);
    expect(told).toBe(verb.bare);
  });
});
