import { describe, expect, it } from 'vitest';
import { accept } from '../../../src/domain/accept/accept.ts';
import { beyondAt } from '../../../src/domain/reading/beyond-limits.ts';
import {
  hasTargets,
  limitsWith,
  longestTargetsMs,
  type Targets,
  targetsInForce,
  targetsSchema,
} from '../../../src/domain/reading/targets.ts';
import type { EntryDraft } from '../../../src/domain/record/entry.ts';
import { hour, LineLog, testWard, wall } from '../../support/line-builder.ts';

const ward = testWard();
const { policy } = ward;
const set = (targets: Targets, until = '06:00') => ({
  ...targets,
  reason: 'as agreed',
  until: wall(until),
});
const low = (targets: Targets) => {
  const { sapMmHg, dapMmHg, mapMmHg } = limitsWith(policy, targets);
  return [mapMmHg.low?.mmHg, sapMmHg.low?.mmHg, dapMmHg.low?.mmHg];
};
const owed = (line: LineLog, now: string) => line.duties(policy, now).some(({ kind }) => kind === 'finding');

// Head injury: keep the systolic at 100 mmHg or more (a review of small-animal head trauma, read). Bleeding that is not
// stopped: a lower pressure may be meant (hypotensive resuscitation, a veterinary teaching page, read). The ward's: AAHA 2020.
const headInjury: Targets = { sapMmHg: { low: 100, high: 160 }, mapMmHg: { low: 80 } };
const bleeding: Targets = { mapMmHg: { low: 50, high: 65 } };

describe('the limits of a line with targets', () => {
  it('are the targets where there are some, and else the ward’s', () => {
    expect(low(headInjury)).toEqual([80, 100, 40]);
    expect(limitsWith(policy, headInjury).sapMmHg.high).toEqual({ mmHg: 160, by: 'target' });
    expect(limitsWith(policy, { mapMmHg: { low: 80 } }).sapMmHg.high).toEqual({ mmHg: 180, by: 'ward' });
  });

  it('leave out the ward’s other low limits where a lower pressure is meant, and none of its high ones', () => {
    expect(low(bleeding)).toEqual([50, undefined, undefined]);
    expect(limitsWith(policy, bleeding).sapMmHg.high).toEqual({ mmHg: 180, by: 'ward' });
    const line = new LineLog('20:00', {}, 'x').add('targetsSet', '20:10', set(bleeding)).state();
    const at = (sapMmHg: number, dapMmHg: number, mapMmHg: number) =>
      beyondAt({ sapMmHg, dapMmHg, mapMmHg }, wall('21:00'), line, policy).map(({ what, side }) => [
        what,
        side,
      ]);
    expect(at(76, 38, 52)).toEqual([]);
    expect(at(70, 35, 49)).toEqual([['mean', 'below']]);
    expect(at(110, 60, 78)).toEqual([['mean', 'above']]);
  });
});

describe('a target', () => {
  it.each<[string, Targets, boolean]>([
    ['a lowest', { sapMmHg: { low: 100 } }, true],
    ['a highest', { mapMmHg: { high: 65 } }, true],
    ['both, the lowest below the highest', { mapMmHg: { low: 50, high: 65 } }, true],
    ['none', {}, false],
    ['an empty one', { mapMmHg: {} }, false],
  ])('is %s', (_what, targets, given) => {
    expect(targetsSchema.safeParse(targets).success).toBe(true);
    expect(hasTargets(targets)).toBe(given);
  });

  // From 20 to 250 mmHg: common practice, no source.
  it.each<[string, Targets, boolean]>([
    ['a lowest of 20', { sapMmHg: { low: 20 } }, true],
    ['a lowest of 19', { sapMmHg: { low: 19 } }, false],
    ['a highest of 250', { sapMmHg: { high: 250 } }, true],
    ['a highest of 251', { sapMmHg: { high: 251 } }, false],
    ['a lowest as high as the highest', { mapMmHg: { low: 65, high: 65 } }, false],
    ['a lowest above the highest', { mapMmHg: { low: 66, high: 65 } }, false],
  ])('is believed or not: %s', (_what, targets, isBelieved) => {
    expect(targetsSchema.safeParse(targets).success).toBe(isBelieved);
  });

  it('as low as the ward’s own limit means no lower pressure; one below it does', () => {
    expect(low({ mapMmHg: { low: 60 } })).toEqual([60, 90, 40]);
    expect(low({ mapMmHg: { low: 59 } })).toEqual([59, undefined, undefined]);
  });

  it('stands where the ward’s own limit is switched off, and rests no other', () => {
    const off = { ...policy, sapTellBelowMmHg: null };
    expect(limitsWith(off, {}).sapMmHg.low).toBeNull();
    const limits = limitsWith(off, { sapMmHg: { low: 80 } });
    expect([limits.sapMmHg.low, limits.dapMmHg.low]).toEqual([
      { mmHg: 80, by: 'target' },
      { mmHg: 40, by: 'ward' },
    ]);
  });
});

describe('targets', () => {
  it('hold from when they were set until their end, or until they are ended', () => {
    const line = new LineLog('20:00').add('targetsSet', '20:10', set(headInjury, '23:00'));
    expect(targetsInForce(line.state(), wall('22:59'))?.reason).toBe('as agreed');
    expect(targetsInForce(line.state(), wall('23:00'))).toBeNull();
    line.add('targetsEnded', '21:00', {});
    expect(targetsInForce(line.state(), wall('20:59'))).not.toBeNull();
    expect(targetsInForce(line.state(), wall('21:00'))).toBeNull();
    line.add('targetsSet', '21:30', set(bleeding, '22:00'));
    expect(targetsInForce(line.state(), wall('21:45'))?.mapMmHg).toEqual({ low: 50, high: 65 });
  });

  it('make a reading beyond them the clinician’s to look at, and one within them nobody’s', () => {
    const line = new LineLog('20:00').add('targetsSet', '20:10', set(headInjury, '23:00'));
    expect(owed(line.add('reading', '21:00', { sapMmHg: 110, dapMmHg: 60, mapMmHg: 78 }), '21:00')).toBe(
      true,
    );
    expect(owed(line.add('reading', '21:10', { sapMmHg: 130, dapMmHg: 70, mapMmHg: 90 }), '21:10')).toBe(
      false,
    );
    // After their end it is the ward's limits again.
    expect(owed(line.add('reading', '23:10', { sapMmHg: 110, dapMmHg: 60, mapMmHg: 78 }), '23:10')).toBe(
      false,
    );
  });

  it('end what a reading before them called for, and call nobody by it', () => {
    const shock = new LineLog('20:00').add('reading', '20:05', { sapMmHg: 78, dapMmHg: 42, mapMmHg: 55 });
    expect(owed(shock, '20:06')).toBe(true);
    expect(owed(shock.add('targetsSet', '20:10', set(bleeding)), '20:11')).toBe(false);
    const both = new LineLog('20:00').add('reading', '20:05', { sapMmHg: 78, dapMmHg: 42, mapMmHg: 55 });
    expect(owed(both.add('targetsSet', '20:10', set(headInjury)), '20:11')).toBe(true);
    const sameMinute = new LineLog('20:00')
      .add('targetsSet', '20:10', set(headInjury))
      .add('reading', '20:10', { sapMmHg: 110, dapMmHg: 60, mapMmHg: 78 });
    expect(owed(sameMinute, '20:11')).toBe(true);
    const head = new LineLog('20:00').add('reading', '20:05', { sapMmHg: 110, dapMmHg: 60, mapMmHg: 78 });
    expect(owed(head.add('targetsSet', '20:10', set(headInjury)), '20:11')).toBe(false);
  });
});

describe('whoever sets targets', () => {
  const line = () => new LineLog('20:00').state();
  const verdict = (draft: EntryDraft, by: string, state = line()) => {
    const at = wall('20:30');
    return accept(state, ward, draft, { at, told: at, by, via: 'form' });
  };

  it('is on call or a clinician of the policy, as whoever lets a duty go', () => {
    const draft: EntryDraft = { kind: 'targetsSet', body: set(headInjury) };
    expect(verdict(draft, 'vet')).toHaveProperty('take');
    expect(verdict(draft, 'nina')).toEqual({ refuse: { because: 'clinician only' } });
    const listed = testWard({ rota: {}, clinicians: ['nina'] });
    const at = wall('20:30');
    expect(accept(line(), listed, draft, { at, told: at, by: 'nina', via: 'form' })).toHaveProperty('take');
  });

  it('gives at least one, and an end within three days', () => {
    expect(longestTargetsMs / hour).toBe(72);
    const until = (ms: number): EntryDraft => ({
      kind: 'targetsSet',
      body: { ...bleeding, reason: 'bleeding', until: wall('20:30') + ms },
    });
    expect(verdict({ kind: 'targetsSet', body: set({}) }, 'vet')).toEqual({
      refuse: { because: 'no targets' },
    });
    expect(verdict(until(0), 'vet')).toHaveProperty('refuse.because', 'ends too soon');
    expect(verdict(until(longestTargetsMs), 'vet')).toHaveProperty('take');
    expect(verdict(until(longestTargetsMs + hour), 'vet')).toHaveProperty(
      'refuse.because',
      'decided for too long',
    );
  });

  it('ends only what holds', () => {
    const ended: EntryDraft = { kind: 'targetsEnded', body: {} };
    expect(verdict(ended, 'vet')).toEqual({ refuse: { because: 'no targets' } });
    const held = new LineLog('20:00').add('targetsSet', '20:10', set(bleeding)).state();
    expect(verdict(ended, 'vet', held)).toHaveProperty('take');
    expect(verdict(ended, 'nina', held)).toEqual({ refuse: { because: 'clinician only' } });
  });
});
