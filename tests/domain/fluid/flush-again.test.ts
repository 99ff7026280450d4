import { describe, expect, it } from 'vitest';
import { accept, type Verdict } from '../../../src/domain/accept/accept.ts';
import { usualFlushMl } from '../../../src/domain/fluid/usual-flush.ts';
import type { DraftOf, EntryDraft } from '../../../src/domain/record/entry.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';

const cat = { patient: { name: 'Mochi', species: 'cat', weightKg: 4 } } as const;
const flush: EntryDraft = { kind: 'flushed', body: {} };

function record(
  log: LineLog,
  draft: EntryDraft,
  at: string | number,
  { by = 'teo', ward = testWard() } = {},
): Verdict {
  const when = typeof at === 'number' ? at : wall(at);
  const verdict = accept(log.state(), ward, draft, { at: when, told: when, by, via: 'button' }, log.entries);
  if ('take' in verdict) log.entries.push(verdict.take);
  return verdict;
}

const asked = (verdict: Verdict): DraftOf<'flushed'> => {
  if (!('ask' in verdict) || verdict.ask.about !== 'flushed just now') throw new Error('nothing was asked');
  return verdict.ask.yes;
};

// 0.5 to 1 mL: veterinary texts, from memory; by weight: common practice, no source.
describe('the usual volume of a flush by hand', () => {
  it.each([
    [0.8, 0.5],
    [4.99, 0.5],
    [5, 1],
    [14.9, 1],
    [15, 2],
    [60, 2],
  ])('of an animal of %f kg is %f mL', (weightKg, expected) => {
    expect(usualFlushMl(testWard().policy, weightKg)).toBe(expected);
  });

  it('is written into a flush of which nobody told the volume, and stays when the ward sets another', () => {
    const log = new LineLog('20:00', cat);
    record(log, flush, '21:00');
    expect(log.entries.at(-1)?.body).toEqual({ volumeMl: 0.5, usual: true });
    record(log, flush, '22:00', { ward: testWard({ usualFlushSmallMl: 0.3 }) });
    expect(log.state().handFlushes.map(({ volumeMl }) => volumeMl)).toEqual([0.5, 0.3]);
  });

  it('is written into the flush after a sample, too', () => {
    const log = new LineLog('20:00', cat);
    record(log, { kind: 'sampled', body: { volumeMl: 1, flushed: true } }, '21:00');
    expect(log.entries.at(-1)?.body).toMatchObject({ flushMl: 0.5, flushUsual: true });
    record(log, { kind: 'sampled', body: { volumeMl: 1, flushed: false } }, '22:00');
    expect(log.entries.at(-1)?.body).not.toHaveProperty('flushMl');
    expect(log.state().flushedMl).toBe(0.5);
  });

  it('gives way to a volume that somebody tells of the same flush', () => {
    const log = new LineLog('20:00', cat);
    record(log, flush, '21:00');
    record(log, { kind: 'flushed', body: { volumeMl: 1.2 } }, wall('21:00') + 30_000, { by: 'ina' });
    expect(log.state()).toMatchObject({ flushCount: 1, flushedMl: 1.2, handFlushes: [{ volumeMl: 1.2 }] });
    // The other way round nothing is added.
    expect(record(log, flush, wall('21:00') + 45_000)).toHaveProperty('already');
  });
});

// Ten minutes, and never more than half the time between two flushes: common practice, no source.
describe('a flush soon after another', () => {
  it('is asked about within ten minutes, by whoever tells it, and recorded once that is answered', () => {
    const log = new LineLog('20:00', cat).add('flushed', '21:00', { volumeMl: 1 }, { by: 'ina' });
    expect(record(log, flush, '21:03')).toMatchObject({
      ask: { about: 'flushed just now', flush: { by: 'ina', volumeMl: 1, entry: 2 } },
    });
    const yes = asked(record(log, flush, '21:09', { by: 'ina' }));
    expect(yes.body).toEqual({ volumeMl: 0.5, usual: true, again: 2 });
    expect(log.state().flushCount).toBe(1);
    expect(record(log, yes, '21:09', { by: 'ina' })).toHaveProperty('take');
    expect(log.state()).toMatchObject({ flushCount: 2, flushedMl: 1.5 });
    expect(record(log, flush, '21:20')).toHaveProperty('take');
  });

  it('is asked about anew where somebody flushed since the question, and a yes pressed twice is one', () => {
    const log = new LineLog('20:00', cat).add('flushed', '21:00', {}, { by: 'ina' });
    const yes = asked(record(log, flush, '21:03'));
    expect(record(log, yes, '21:03')).toHaveProperty('take');
    expect(record(log, yes, wall('21:03') + 500)).toHaveProperty('already');
    expect(record(log, yes, '21:06', { by: 'ina' })).toHaveProperty('ask');
    expect(log.state().flushCount).toBe(2);
  });

  it('is one with the first within a minute, and can be told as a second one all the same', () => {
    const log = new LineLog('20:00', cat).add('flushed', '21:00', { volumeMl: 0.5, usual: true });
    expect(record(log, flush, wall('21:00') + 900)).toHaveProperty('already');
    expect(record(log, { kind: 'flushed', body: { again: 2 } }, wall('21:00') + 40_000)).toHaveProperty(
      'take',
    );
    expect(log.state().flushedMl).toBe(1);
  });

  it('is asked about when told of a time just before one that stands', () => {
    const log = new LineLog('20:00', cat).add('flushed', '21:00', {}).add('zeroed', '21:01', {});
    expect(record(log, flush, '20:55')).toHaveProperty('ask');
    expect(record(log, flush, '20:45')).toHaveProperty('take');
  });

  it('is asked about after a sample that was flushed after, and not after one that was not', () => {
    const sample = (flushed: boolean) =>
      new LineLog('20:00', cat).add('flushed', '20:58', {}).add('sampled', '21:00', { volumeMl: 1, flushed });
    expect(record(sample(true), flush, '21:02')).toHaveProperty('ask');
    expect(record(sample(false), flush, '21:02')).toHaveProperty('take');
  });

  it('is not asked about after a change of mode, at placing, or where the ward never asks', () => {
    const changed = new LineLog('20:00', cat)
      .add('flushed', '21:00', {})
      .add('flushModeChanged', '21:02', { mode: 'continuous' });
    expect(record(changed, flush, '21:04')).toHaveProperty('take');
    expect(record(new LineLog('20:00', cat), flush, '20:02')).toHaveProperty('take');
    const log = new LineLog('20:00', cat).add('flushed', '21:00', {});
    expect(record(log, flush, '21:03', { ward: testWard({ flushAgainMin: 0 }) })).toHaveProperty('take');
  });

  it('is due again where the ward flushes every 15 min, and asks for half of that at most', () => {
    const ward = testWard({ flushEveryMin: 15, flushAgainMin: 30 });
    const log = () => new LineLog('20:00', cat).add('flushed', '21:00', {});
    expect(record(log(), flush, '21:07', { ward })).toHaveProperty('ask');
    expect(record(log(), flush, '21:08', { ward })).toHaveProperty('take');
  });
});
