import { describe, expect, it } from 'vitest';
import { draftsOf } from '../../../src/chat/listeners/strip.ts';
import { readStrip, type StripFindings } from '../../../src/domain/strip/strip-findings.ts';
import { simulatedStrip } from '../../support/simulated-strip.ts';

const findings: StripFindings = readStrip(
  simulatedStrip({
    ratePerMin: 90,
    line: { naturalHz: 24, damping: 0.5 },
    flush: { atS: 12.3, lengthS: 1, bagMmHg: 290 },
  }).strip,
).findings;

describe('what of a read strip is offered for the record', () => {
  it('is the test and the pressures where neither is doubted', () => {
    expect(draftsOf(findings).map(({ kind }) => kind)).toEqual(['fastFlushTested', 'reading']);
    expect(draftsOf(findings)[0]).toMatchObject({ body: { verdict: 'normal', heartRatePerMin: 90 } });
  });

  it('is no pressure and no heart rate where the trace has any fault', () => {
    const faults: StripFindings['faults'] = [{ fault: 'beats disagree', hides: 'nothing' }];
    const drafts = draftsOf({ ...findings, faults });
    expect(drafts.map(({ kind }) => kind)).toEqual(['fastFlushTested']);
    expect(JSON.stringify(drafts)).not.toContain('heartRatePerMin');
  });

  it.each(['normal', 'spiky (underdamped)'] as const)(
    'is “cannot tell” of an unsure verdict: %s',
    (verdict) => {
      expect(draftsOf({ ...findings, verdict, confidence: 'unsure' })[0]).toMatchObject({
        body: { verdict: 'cannot tell' },
      });
    },
  );
});
