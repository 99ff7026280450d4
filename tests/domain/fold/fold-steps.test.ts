import { describe, expect, it } from 'vitest';
import { foldLine, foldSteps } from '../../../src/domain/fold/fold-line.ts';
import { LineLog, wall } from '../../support/line-builder.ts';

describe('the steps of a line', () => {
  const log = new LineLog('20:00')
    .add('flushed', '21:00', { volumeMl: 1 })
    .add('zeroed', '20:30', {}, { told: wall('21:10') })
    .add('sampled', '22:00', { volumeMl: 1, flushed: true })
    .add('amended', '22:10', { target: 2, at: wall('20:50'), body: { volumeMl: 2 } })
    .add('amended', '22:20', { target: 4, strike: 'another animal' });
  const { first, steps } = foldSteps('line-1', log.entries);

  it('come in the order things happened, as amended, without what was struck', () => {
    expect(steps.map(({ entry }) => [entry.kind, entry.at])).toEqual([
      ['zeroed', wall('20:30')],
      ['flushed', wall('20:50')],
    ]);
  });

  it('lead from the placing to the state of the whole log, each from where the one before it ended', () => {
    expect(first).toMatchObject({ flushCount: 0, flushedMl: 0, zeroCause: { why: 'placed' } });
    expect(steps[0]?.before).toBe(first);
    expect(steps[1]?.before).toBe(steps[0]?.after);
    expect({ ...steps.at(-1)?.after, version: 6 }).toEqual(foldLine('line-1', log.entries));
  });

  it('of a log that does not begin with its placing are refused', () => {
    expect(() => foldSteps('line-1', log.entries.slice(1))).toThrow(/does not begin with its placing/);
  });
});
