import { describe, expect, it } from 'vitest';
import { accept, type Verdict } from '../../../src/domain/accept/accept.ts';
import { pressedAgainMs } from '../../../src/domain/accept/check-fault.ts';
import {
  backDateMs,
  checkReading,
  decisionMs,
  futureToleranceMs,
  placingBackDateMs,
} from '../../../src/domain/accept/refusal.ts';
import { longestTargetsMs } from '../../../src/domain/reading/targets.ts';
import type { EntryDraft } from '../../../src/domain/record/entry.ts';
import { hour, LineLog, minute, testWard, wall } from '../../support/line-builder.ts';

const ward = testWard({ clinicians: ['cleo'] });
const dog = () => new LineLog('20:00');
const verdict = (
  log: LineLog,
  draft: EntryDraft,
  told: string | number = '23:00',
  by = 'nina',
  at?: string,
): Verdict => {
  const now = typeof told === 'number' ? told : wall(told);
  const head = { at: at === undefined ? now : wall(at), told: now, by, via: 'button' } as const;
  return accept(log.state(), ward, draft, head, log.entries);
};
const taken = (found: Verdict) => 'take' in found;
const flushes = (dueAt: string): ['flush', number][] => [['flush', wall(dueAt)]];

// Common practice, no source, all of them.
it('times may lie 2 min ahead and 24 h back, a placing 14 days; a decision holds 72 h; a press counts again within 2 min', () => {
  expect(futureToleranceMs / minute).toBe(2);
  expect(backDateMs / hour).toBe(24);
  expect(placingBackDateMs / hour).toBe(14 * 24);
  expect(decisionMs / hour).toBe(72);
  expect(pressedAgainMs / minute).toBe(2);
});

describe('pressures', () => {
  it.each([
    [{ sapMmHg: 64, dapMmHg: 64 }, null],
    [{ sapMmHg: 63, dapMmHg: 64 }, 'diastolic above systolic'],
    [{ sapMmHg: 118, dapMmHg: 64, mapMmHg: 118 }, null],
    [{ sapMmHg: 118, dapMmHg: 64, mapMmHg: 119 }, 'mean outside'],
    [{ sapMmHg: 118, dapMmHg: 64, mapMmHg: 64 }, null],
    [{ sapMmHg: 118, dapMmHg: 64, mapMmHg: 63 }, 'mean outside'],
  ])('%j: %j', (pressures, because) => {
    expect(checkReading(pressures)?.because ?? null).toBe(because);
  });
});

describe('of a line that is out', () => {
  const out = () => dog().add('removed', '22:00', { reason: 'planned' });
  it.each<[string, EntryDraft]>([
    ['a note', { kind: 'noted', body: { text: 'owner told' } }],
    ['what the bot said', { kind: 'nudged', body: { duties: [['pulse', wall('23:00')]] } }],
    ['whom the bot told', { kind: 'escalated', body: { duties: [['pulse', wall('23:00')]], to: 'nurse' } }],
    ['a claim', { kind: 'claimed', body: { duties: [['pulse', wall('23:00')]], until: wall('23:30') } }],
    ['a “later”', { kind: 'snoozed', body: { duties: [['pulse', wall('23:00')]], until: wall('23:30') } }],
    ['to whom it is given', { kind: 'assigned', body: { nurse: 'teo' } }],
    ['a look at the puncture', { kind: 'siteChecked', body: { finding: {} } }],
    ['a pulse check', { kind: 'pulseChecked', body: { pulse: 'present' } }],
    ['the end of the hold', { kind: 'holdEnded', body: { oozing: false } }],
  ])('%s is still taken', (_what, draft) => {
    expect(taken(verdict(out(), draft))).toBe(true);
  });

  it('a decision and an amendment are', () => {
    const waived: EntryDraft = {
      kind: 'waived',
      body: { duty: 'pulse', dueAt: wall('23:00'), reason: 'asleep', until: wall('2026-11-25 06:00') },
    };
    expect(taken(verdict(out(), waived, '23:00', 'cleo'))).toBe(true);
    expect(taken(verdict(out(), { kind: 'amended', body: { target: 2, strike: 'not out' } }))).toBe(true);
  });

  it('that its patient arrived and is back', () => {
    const away = () =>
      dog().add('leftWard', '21:50', { to: 'theatre' }).add('removed', '22:00', { reason: 'planned' });
    expect(taken(verdict(away(), { kind: 'arrived', body: {} }))).toBe(true);
    expect(taken(verdict(away(), { kind: 'returned', body: {} }))).toBe(true);
  });
});

describe('a line is given to somebody', () => {
  const assign = (from?: string): EntryDraft => ({
    kind: 'assigned',
    body: { nurse: 'teo', ...(from === undefined ? {} : { from: wall(from) }) },
  });
  it('at once, or from the start of the coming shift, and from no other time', () => {
    expect(taken(verdict(dog(), assign()))).toBe(true);
    expect(taken(verdict(dog(), assign('2026-11-25 07:00')))).toBe(true);
    expect(verdict(dog(), assign('2026-11-25 08:00'))).toEqual({
      refuse: { because: 'not a shift start', at: wall('2026-11-25 08:00') },
    });
  });
});

describe('a line that is capped', () => {
  const capped = () => dog().add('capped', '22:00', { flushed: false });
  it('is capped already, unless it was flushed as well', () => {
    const again = (flushed: boolean): EntryDraft => ({ kind: 'capped', body: { flushed } });
    expect(verdict(capped(), again(false))).toEqual({ already: { at: wall('22:00'), by: 'nina', entry: 2 } });
    expect(taken(verdict(capped(), again(true)))).toBe(true);
    expect(taken(verdict(dog(), again(false)))).toBe(true);
  });

  it('placed for samples only is, since it was placed', () => {
    const line = new LineLog('20:00', { transducer: false });
    expect(verdict(line, { kind: 'capped', body: { flushed: false } })).toMatchObject({
      already: { entry: 1 },
    });
  });

  it('goes back to flushing by hand, which it does already', () => {
    expect(verdict(capped(), { kind: 'flushModeChanged', body: { mode: 'manual' } })).toHaveProperty(
      'refuse.because',
      'mode as before',
    );
  });
});

describe('a move', () => {
  const left = (to: 'theatre' | 'imaging' = 'theatre', who?: string): EntryDraft => ({
    kind: 'leftWard',
    body: { to, ...(who === undefined ? {} : { with: who }) },
  });
  const move = (kind: 'arrived' | 'returned', who?: string): EntryDraft => ({
    kind,
    body: who === undefined ? {} : { with: who },
  });
  const away = () => dog().add('leftWard', '22:00', { to: 'theatre', with: 'ana' });
  const there = () => away().add('arrived', '22:05', {});
  const back = () => there().add('returned', '22:57', {});

  it.each<[string, LineLog, EntryDraft, 'take' | 'already' | 'refuse']>([
    ['to theatre', dog(), left(), 'take'],
    ['to where it is', away(), left(), 'already'],
    ['to where it is, with the same person', away(), left('theatre', 'ana'), 'already'],
    ['to where it is, with another', away(), left('theatre', 'bo'), 'take'],
    ['on to imaging', away(), left('imaging'), 'take'],
    ['that arrived', away(), move('arrived'), 'take'],
    ['that had arrived', there(), move('arrived'), 'already'],
    ['that had arrived, with another', there(), move('arrived', 'bo'), 'take'],
    ['back', there(), move('returned'), 'take'],
    ['back of one that never left', dog(), move('returned'), 'refuse'],
    ['arrived of one that never left', dog(), move('arrived'), 'refuse'],
  ])('%s', (_what, log, draft, expected) => {
    expect(Object.keys(verdict(log, draft))).toEqual([expected]);
  });

  it('back pressed again within 2 min is the first press', () => {
    const again = (at: string) => verdict(back(), move('returned'), at);
    expect(again('22:59')).toEqual({ already: { at: wall('22:57'), by: 'nina', entry: 4 } });
    expect(again('23:00')).toEqual({ refuse: { because: 'not away' } });
  });

  it('says who recorded that it had arrived', () => {
    expect(verdict(there(), move('arrived'))).toMatchObject({ already: { at: wall('22:05') } });
  });
});

describe('pressed again within 2 min by the same person', () => {
  const snooze: EntryDraft = { kind: 'snoozed', body: { duties: flushes('21:00'), until: wall('21:20') } };
  const late = () => dog().add('snoozed', '21:05', { duties: flushes('21:00'), until: wall('21:15') });
  it('“later” is the first press; after that, and by another, it was put off once already', () => {
    expect(verdict(late(), snooze, '21:07')).toEqual({
      already: { at: wall('21:05'), by: 'nina', entry: 2 },
    });
    expect(verdict(late(), snooze, '21:08')).toHaveProperty('refuse.because', 'put off once already');
    expect(verdict(late(), snooze, '21:07', 'teo')).toHaveProperty('refuse.because', 'put off once already');
  });

  it('a change of mode is; after that it is as before', () => {
    const mode: EntryDraft = { kind: 'flushModeChanged', body: { mode: 'continuous' } };
    const changed = () => dog().add('flushModeChanged', '22:00', { mode: 'continuous' });
    expect(verdict(changed(), mode, '22:02')).toHaveProperty('already');
    expect(verdict(changed(), mode, '22:03')).toEqual({
      refuse: { because: 'mode as before', mode: 'continuous' },
    });
    expect(verdict(changed(), mode, '22:02', 'teo')).toHaveProperty('refuse');
  });

  it('a fault closed is closed; of another end, or later, there is none', () => {
    const closed = () =>
      dog().add('faultOpened', '21:50', { sign: 'flat' }).add('faultClosed', '22:00', { resolved: true });
    const close = (resolved: boolean, sign?: 'flat' | 'spiky'): EntryDraft => ({
      kind: 'faultClosed',
      body: { resolved, ...(sign === undefined ? {} : { sign }) },
    });
    expect(verdict(closed(), close(true), '22:02')).toHaveProperty('already.at', wall('22:00'));
    expect(verdict(closed(), close(true), '22:03')).toEqual({ refuse: { because: 'no open fault' } });
    expect(verdict(closed(), close(false), '22:02')).toEqual({ refuse: { because: 'no open fault' } });
    expect(verdict(closed(), close(true, 'spiky'), '22:02')).toEqual({
      refuse: { because: 'no open fault' },
    });
    expect(verdict(dog(), close(true), '22:02')).toEqual({ refuse: { because: 'no open fault' } });
  });
});

describe('decisions', () => {
  const now = wall('23:00');
  it('hold 72 h at most, as a waiver and as targets', () => {
    const waive = (ms: number): EntryDraft => ({
      kind: 'waived',
      body: { duty: 'site', dueAt: wall('2026-11-25 00:00'), reason: 'asleep', until: now + ms },
    });
    const target = (ms: number): EntryDraft => ({
      kind: 'targetsSet',
      body: { mapMmHg: { low: 70 }, reason: 'head injury', until: now + ms },
    });
    for (const draft of [waive, target]) {
      expect(taken(verdict(dog(), draft(decisionMs), now, 'cleo'))).toBe(true);
      expect(verdict(dog(), draft(decisionMs + 1), now, 'cleo')).toEqual({
        refuse: { because: 'decided for too long', latest: now + decisionMs },
      });
    }
    expect(longestTargetsMs).toBe(decisionMs);
  });

  const amendUntil = (target: number, until: number): EntryDraft => ({
    kind: 'amended',
    body: { target, body: { until } },
  });
  it('put right, hold 72 h from when they were recorded', () => {
    const told = wall('22:00');
    const waived = () =>
      dog().add('waived', '22:00', {
        duty: 'site',
        dueAt: wall('2026-11-25 00:00'),
        reason: 'asleep',
        until: told + hour,
      });
    const targets = () =>
      dog().add('targetsSet', '22:00', { mapMmHg: { low: 70 }, reason: 'head', until: told + hour });
    for (const log of [waived, targets]) {
      expect(taken(verdict(log(), amendUntil(2, told + decisionMs), now, 'cleo'))).toBe(true);
      expect(verdict(log(), amendUntil(2, told + decisionMs + 1), now, 'cleo')).toEqual({
        refuse: { because: 'decided for too long', latest: told + decisionMs },
      });
      expect(verdict(log(), amendUntil(2, told + 2 * hour), now)).toEqual({
        refuse: { because: 'clinician only' },
      });
    }
  });

  it('that end targets are a clinician’s to strike, too', () => {
    const ended = dog()
      .add('targetsSet', '22:00', { mapMmHg: { low: 70 }, reason: 'head', until: wall('2026-11-25 06:00') })
      .add('targetsEnded', '22:30', {});
    const strike: EntryDraft = { kind: 'amended', body: { target: 3, strike: 'a slip' } };
    expect(verdict(ended, strike)).toEqual({ refuse: { because: 'clinician only' } });
    expect(taken(verdict(ended, strike, '23:00', 'cleo'))).toBe(true);
  });

  it('to place a line in spite of a caution are by somebody who may', () => {
    const placed = () => new LineLog('20:00', { screening: { cautions: [] } });
    const decided = (clinician: string): EntryDraft => ({
      kind: 'amended',
      body: {
        target: 1,
        body: {
          screening: { cautions: ['bleeding disorder'], override: { clinician, reason: 'needed', at: now } },
        },
      },
    });
    expect(verdict(placed(), decided('nina'))).toEqual({ refuse: { because: 'clinician only' } });
    expect(taken(verdict(placed(), decided('cleo')))).toBe(true);
  });

  it('of before stand, whoever puts something else right', () => {
    const screening = {
      cautions: ['bleeding disorder' as const],
      override: { clinician: 'gone', reason: 'needed', at: wall('20:00') },
    };
    const placed = new LineLog('20:00', { screening });
    const right: EntryDraft = { kind: 'amended', body: { target: 1, body: { gauge: 22, screening } } };
    expect(taken(verdict(placed, right))).toBe(true);
  });
});

describe('an amendment', () => {
  it.each<[string, LineLog]>([
    ['of what the bot said', dog().add('nudged', '21:00', { duties: flushes('21:00') })],
    [
      'of whom the bot told',
      dog().add('escalated', '21:00', { duties: flushes('21:00'), to: 'nurse', user: 'nina' }),
    ],
  ])('%s is refused', (_what, log) => {
    expect(verdict(log, { kind: 'amended', body: { target: 2, strike: 'a slip' } })).toEqual({
      refuse: { because: 'written by the bot' },
    });
  });

  it.each<[string, LineLog]>([
    ['a claim', dog().add('claimed', '21:00', { duties: flushes('21:00'), until: wall('21:30') })],
    ['a “later”', dog().add('snoozed', '21:00', { duties: flushes('21:00'), until: wall('21:10') })],
  ])('of %s may strike it, not make it longer', (_what, log) => {
    expect(verdict(log, { kind: 'amended', body: { target: 2, body: { until: wall('23:30') } } })).toEqual({
      refuse: { because: 'values do not fit', problems: ['until'] },
    });
    expect(taken(verdict(log, { kind: 'amended', body: { target: 2, strike: 'a slip' } }))).toBe(true);
  });

  it('moves a placing 14 days back and anything else a day', () => {
    const line = () => new LineLog('2026-11-22 20:00').add('zeroed', '2026-11-24 22:00', {});
    const move = (target: number, at: string): EntryDraft => ({
      kind: 'amended',
      body: { target, at: wall(at) },
    });
    expect(taken(verdict(line(), move(1, '2026-11-20 20:00')))).toBe(true);
    expect(taken(verdict(line(), move(2, '2026-11-23 23:00')))).toBe(true);
    expect(verdict(line(), move(2, '2026-11-23 22:59'))).toHaveProperty('refuse.because', 'too long ago');
  });

  const strike: EntryDraft = { kind: 'amended', body: { target: 1, strike: 'registered twice', seen: 1 } };
  it.each<[string, LineLog]>([
    ['a claim', dog().add('claimed', '21:00', { duties: flushes('21:00'), until: wall('21:30') })],
    ['a “later”', dog().add('snoozed', '21:00', { duties: flushes('21:00'), until: wall('21:10') })],
    ['to whom it was given', dog().add('assigned', '21:00', { nurse: 'teo' })],
    ['what the bot said', dog().add('nudged', '21:00', { duties: flushes('21:00') })],
  ])('that strikes a placing loses nothing by %s', (_what, log) => {
    expect(taken(verdict(log, strike))).toBe(true);
  });

  it('that strikes a placing is refused where care was recorded since', () => {
    const log = dog().add('flushed', '21:00', {}).add('zeroed', '21:30', {}, { by: 'teo' });
    expect(verdict(log, strike)).toEqual({
      refuse: { because: 'recorded since', count: 2, at: wall('21:30'), by: 'teo', kind: 'zeroed' },
    });
  });
});

describe('words on a finding or a fault that was recorded anew since', () => {
  const anew = () =>
    dog()
      .add('siteChecked', '22:00', { finding: { swelling: true } })
      .add('siteChecked', '22:30', { finding: { swelling: true, noPulse: true } });
  it('are refused: they would silence the newer', () => {
    const claim: EntryDraft = {
      kind: 'claimed',
      body: { duties: [['finding', wall('22:00')]], until: wall('23:30') },
    };
    expect(verdict(anew(), claim)).toEqual({ refuse: { because: 'recorded anew' } });
    const cannot: EntryDraft = { kind: 'noted', body: { text: 'busy', cannot: ['finding', wall('22:00')] } };
    expect(verdict(anew(), cannot)).toEqual({ refuse: { because: 'recorded anew' } });
  });

  it('are taken where one of the things they speak of is open still', () => {
    const claim: EntryDraft = {
      kind: 'claimed',
      body: {
        duties: [
          ['finding', wall('22:00')],
          ['finding', wall('22:30')],
        ],
        until: wall('23:30'),
      },
    };
    expect(taken(verdict(anew(), claim))).toBe(true);
  });

  it('plain notes are taken', () => {
    expect(taken(verdict(anew(), { kind: 'noted', body: { text: 'surgeon told' } }))).toBe(true);
  });
});
