import { describe, expect, it } from 'vitest';
import { accept } from '../../../src/domain/accept/accept.ts';
import { dutiesOfLine } from '../../../src/domain/duties/duties-of-line.ts';
import { dutyStatus } from '../../../src/domain/duties/duty-status.ts';
import { planWake } from '../../../src/domain/ladder/plan-wake.ts';
import type { Entry, EntryDraft } from '../../../src/domain/record/entry.ts';
import { hour, LineLog, testWard, wall } from '../../support/line-builder.ts';

const ward = testWard();
function record(log: LineLog, at: number, draft: EntryDraft, by = 'nina', told = at) {
  const v = accept(log.state(), ward, draft, { at, told, by, via: 'button' }, log.entries);
  if ('take' in v) log.entries.push(v.take as Entry);
  return v;
}
const s = 1000;
const base = () =>
  new LineLog('20:00').inOrder('20:05').add('redressed', '20:06', { finding: {} }).inOrder('20:07');

describe('what is told anew within a minute', () => {
  it('takes a mode again after a slip of the thumb', () => {
    const log = new LineLog('20:00', {
      flushMode: 'continuous',
      source: { kind: 'syringe', volumeMl: 50, rateMlPerH: 2 },
    });
    const t = wall('21:00');
    record(log, t, { kind: 'flushModeChanged', body: { mode: 'manual' } });
    record(log, t + 20 * s, {
      kind: 'flushModeChanged',
      body: { mode: 'continuous', source: { kind: 'syringe', volumeMl: 50, rateMlPerH: 2 } },
    });
    record(log, t + 40 * s, { kind: 'flushModeChanged', body: { mode: 'manual' } });
    expect(log.state().flushMode).toBe('manual');
  });
  it('takes a puncture that still oozes for one from two who say so, and one that stopped for news', () => {
    const log = base().add('removed', '20:50', { reason: 'planned' });
    const t = wall('20:55');
    record(log, t, { kind: 'holdEnded', body: { oozing: true } });
    expect(record(log, t + 3 * s, { kind: 'holdEnded', body: { oozing: true } }, 'teo')).toHaveProperty(
      'already',
    );
    expect(log.state().finding).toBe(null);
    expect(record(log, t + 40 * s, { kind: 'holdEnded', body: { oozing: false } }, 'teo')).toHaveProperty(
      'take',
    );
    expect(log.state().holdEnded).not.toBe(null);
  });
  it('takes a look that finds nothing again', () => {
    const log = base();
    const t = wall('21:00');
    record(log, t, { kind: 'siteChecked', body: { finding: {} } });
    record(log, t + 20 * s, { kind: 'siteChecked', body: { finding: { swelling: true } } });
    record(log, t + 45 * s, { kind: 'siteChecked', body: { finding: {} } });
    expect(log.state().finding).toBe(null);
  });
  it('takes a finding again after a mistaken “nothing amiss”', () => {
    const log = base();
    const t = wall('21:00');
    record(log, t, { kind: 'siteChecked', body: { finding: { noPulse: true } } });
    record(log, t + 20 * s, { kind: 'siteChecked', body: { finding: {} } }, 'noor');
    record(log, t + 45 * s, { kind: 'siteChecked', body: { finding: { noPulse: true } } });
    expect(log.state().finding).not.toBe(null);
  });
  it('takes a verdict again', () => {
    const log = base();
    const t = wall('21:00');
    record(log, t, { kind: 'fastFlushTested', body: { verdict: 'overdamped' } });
    record(log, t + 20 * s, { kind: 'fastFlushTested', body: { verdict: 'normal' } });
    record(log, t + 45 * s, { kind: 'fastFlushTested', body: { verdict: 'overdamped' } });
    expect(log.state().test?.verdict).toBe('overdamped');
  });
  it('takes a move after a zero', () => {
    const log = base();
    const t = wall('21:00');
    record(log, t, { kind: 'disturbed', body: { how: 'moved' } });
    record(log, t + 25 * s, { kind: 'zeroed', body: {} });
    record(log, t + 50 * s, { kind: 'disturbed', body: { how: 'moved' } });
    expect(log.state().zeroCause).not.toBe(null);
  });
  it('takes a sample after a flush', () => {
    const log = base();
    const t = wall('21:00');
    record(log, t, { kind: 'sampled', body: { volumeMl: 1, flushed: false } });
    record(log, t + 25 * s, { kind: 'flushed', body: {} });
    record(log, t + 50 * s, { kind: 'sampled', body: { volumeMl: 1, flushed: false } });
    expect(log.state().flushCause).not.toBe(null);
  });
  it('takes the same pressures after a zero', () => {
    const log = base().add('disturbed', '20:50', { how: 'moved' });
    const t = wall('21:00');
    record(log, t, { kind: 'reading', body: { sapMmHg: 118, dapMmHg: 64 } });
    record(log, t + 25 * s, { kind: 'zeroed', body: {} });
    record(log, t + 50 * s, { kind: 'reading', body: { sapMmHg: 118, dapMmHg: 64 } });
    expect(log.state().reading?.unzeroed).toBe(null);
  });
  it('takes a test after a new set', () => {
    const log = base();
    const t = wall('21:00');
    record(log, t, { kind: 'fastFlushTested', body: { verdict: 'normal' } });
    record(log, t + 20 * s, { kind: 'sourceChanged', body: { source: { kind: 'syringe' }, newSet: true } });
    record(log, t + 50 * s, { kind: 'fastFlushTested', body: { verdict: 'normal' } });
    expect(log.state().testCause).toBe(null);
  });
});

it('a mean that cannot be is refused, told second as well', () => {
  const log = base();
  const t = wall('21:00');
  record(log, t, { kind: 'reading', body: { sapMmHg: 118, dapMmHg: 64 } });
  const v = record(log, t + 25 * s, { kind: 'reading', body: { sapMmHg: 118, dapMmHg: 64, mapMmHg: 200 } });
  expect(v).toHaveProperty('refuse');
});

describe('finding', () => {
  it('is owed to no animal that died', () => {
    const log = base()
      .add('siteChecked', '21:00', { finding: { swelling: true } })
      .add('removed', '21:10', { reason: 'death' });
    const now = wall('21:10') + 48 * hour;
    expect(dutiesOfLine(log.state(), ward.policy, now)).toEqual([]);
  });
  it('stands though a look of that very minute was told before it', () => {
    const log = base();
    record(log, wall('02:10') + 30 * s, { kind: 'siteChecked', body: { finding: {} } });
    record(
      log,
      wall('02:10'),
      { kind: 'siteChecked', body: { finding: { noPulse: true } } },
      'nina',
      wall('02:11'),
    );
    expect(log.state().finding).not.toBe(null);
  });
  it('is not let go with an older one', () => {
    const log = base()
      .add('siteChecked', '03:00', { finding: { swelling: true } })
      .add('escalated', '03:00', { duties: [['finding', wall('03:00')]], to: 'clinician', user: 'vet' })
      .add('siteChecked', '03:06', { finding: { swelling: true, noPulse: true, cold: true } });
    record(
      log,
      wall('03:06') + 2 * s,
      {
        kind: 'waived',
        body: { duty: 'finding', dueAt: wall('03:00'), reason: 'small, old', until: wall('11:00') },
      },
      'vet',
    );
    const d = dutiesOfLine(log.state(), ward.policy, wall('03:08')).find((x) => x.kind === 'finding');
    expect(d?.dueAt).toBe(wall('03:06'));
  });
  it('is not claimed with an older one', () => {
    const log = base()
      .add('siteChecked', '03:00', { finding: { swelling: true } })
      .add('escalated', '03:00', { duties: [['finding', wall('03:00')]], to: 'clinician', user: 'vet' })
      .add('siteChecked', '03:06', { finding: { swelling: true, noPulse: true, cold: true } });
    record(
      log,
      wall('03:06') + 1 * s,
      { kind: 'claimed', body: { duties: [['finding', wall('03:00')]], until: wall('03:36') } },
      'vet',
    );
    const posts = planWake(ward, [log.state()], wall('03:07'))
      .posts.filter((p) => p.to === 'clinician')
      .flatMap((p) => ('duties' in p ? p.duties.map((x) => x.kind) : []));
    expect(posts).toContain('finding');
  });
  it('that was let go says so', () => {
    const log = base()
      .add('siteChecked', '03:00', { finding: { swelling: true } })
      .add('escalated', '03:00', { duties: [['finding', wall('03:00')]], to: 'clinician', user: 'vet' })
      .add(
        'waived',
        '03:05',
        { duty: 'finding', dueAt: wall('03:00'), reason: 'seen, small', until: wall('05:00') },
        { by: 'vet' },
      );
    expect(
      dutyStatus(
        log.state(),
        ward.policy,
        { lineId: log.id, kind: 'finding', dueAt: wall('03:00') },
        wall('03:00'),
        wall('03:06'),
      ).is,
    ).toBe('let go');
  });
});

const finds = (log: LineLog, at: number) =>
  planWake(testWard(), [log.state()], at)
    .posts.filter((p) => p.to === 'clinician')
    .flatMap((p) => ('duties' in p ? p.duties.map((d) => d.kind) : []));
it('of a time before a later one is told at once, and both stand', () => {
  const log = new LineLog('20:00')
    .inOrder('20:05')
    .add('flushed', '20:50', {})
    .add('siteChecked', '21:00', { finding: { swelling: true } })
    .add('escalated', '21:00', { duties: [['finding', wall('21:00')]], to: 'clinician', user: 'vet' })
    .add('claimed', '21:01', { duties: [['finding', wall('21:00')]], until: wall('21:31') }, { by: 'vet' })
    .add('siteChecked', '20:55', { finding: { noPulse: true, cold: true } }, { told: wall('21:10') });
  expect(finds(log, wall('21:11'))).toContain('finding');
});
it('made worse by an amendment is told anew', () => {
  const log = new LineLog('20:00')
    .inOrder('20:05')
    .add('flushed', '20:50', {})
    .add('siteChecked', '21:00', { finding: { swelling: true } })
    .add('escalated', '21:00', { duties: [['finding', wall('21:00')]], to: 'clinician', user: 'vet' })
    .add('amended', '21:02', { target: 5, body: { finding: { swelling: true, noPulse: true } } });
  expect(finds(log, wall('21:11'))).toContain('finding');
});
