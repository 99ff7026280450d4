import { describe, expect, it } from 'vitest';
import { accept } from '../../../src/domain/accept/accept.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';

// Four times the usual volume: common practice, no source.
const head = { at: wall('21:00'), told: wall('21:00'), by: 'nina', via: 'command' } as const;
const verdict = (weightKg: number, volumeMl: number, times = 4) =>
  accept(
    new LineLog('20:00', { patient: { weightKg } }).state(),
    testWard({ flushAskAboveTimes: times }),
    { kind: 'flushed', body: { volumeMl } },
    head,
  );

describe('a flush by hand', () => {
  it.each<[weightKg: number, mostMl: number, usualMl: number]>([
    [4.2, 2, 0.5],
    [5, 4, 1],
    [28, 8, 2],
  ])('in an animal of %f kg is looked at again above %f mL', (weightKg, mostMl, usualMl) => {
    expect(verdict(weightKg, mostMl)).toHaveProperty('take');
    expect(verdict(weightKg, mostMl + 0.1)).toMatchObject({
      ask: { about: 'large flush', volumeMl: mostMl + 0.1, usualMl, yes: { body: { volumeSeenBy: 'nina' } } },
    });
  });

  it('is asked about at what the ward has set', () => {
    expect(verdict(4.2, 5, 10)).toHaveProperty('take');
    expect(verdict(4.2, 1.1, 2)).toHaveProperty('ask.about', 'large flush');
  });

  it('recorded by two who both looked again is one', () => {
    const log = new LineLog('20:00', { patient: { weightKg: 4.2 } }).add('flushed', '21:00', {
      volumeMl: 5,
      volumeSeenBy: 'teo',
    });
    const draft = { kind: 'flushed', body: { volumeMl: 5, volumeSeenBy: 'nina' } } as const;
    expect(accept(log.state(), testWard(), draft, head, log.entries)).toEqual({
      already: { at: wall('21:00'), by: 'nina', entry: 2 },
    });
  });
});
