import { describe, expect, it } from 'vitest';
import { LineLog, minute, wall } from '../../support/line-builder.ts';

const line = () => new LineLog('20:00');
const out = () => line().add('removed', '21:00', { reason: 'planned' });

describe('after the line came out', () => {
  it('pulse checks count; before it they do not', () => {
    expect(out().add('pulseChecked', '22:00', { pulse: 'present' }).state().pulsesAfterRemoval).toHaveLength(
      1,
    );
    expect(line().add('pulseChecked', '20:30', { pulse: 'present' }).state().pulsesAfterRemoval).toEqual([]);
  });

  it('a puncture is held from then on, and anew where it still oozes', () => {
    expect(out().state()).toMatchObject({
      holdFrom: wall('21:00'),
      heldAgainRecordedAt: null,
      holdEnded: null,
    });
    const again = out()
      .add('holdEnded', '21:06', { oozing: true }, { told: wall('21:08') })
      .state();
    expect(again).toMatchObject({
      holdFrom: wall('21:06'),
      heldAgainRecordedAt: wall('21:08'),
      holdEnded: null,
      finding: null,
    });
    expect(out().add('holdEnded', '21:06', { oozing: false }).state().holdEnded).toMatchObject({
      at: wall('21:06'),
    });
  });

  it('a missing piece is known from when that was recorded', () => {
    const missing = (body: { tipWhole?: boolean; pieceFound?: boolean }) =>
      line()
        .add('removed', '21:00', { reason: 'planned', ...body }, { told: wall('21:10') })
        .state().tipMissing?.told ?? null;
    expect(missing({ tipWhole: false })).toBe(wall('21:10'));
    expect(missing({ tipWhole: false, pieceFound: true })).toBeNull();
    expect(missing({ tipWhole: true })).toBeNull();
    expect(missing({})).toBeNull();
  });
});

describe('a finding', () => {
  const swollen = () => line().add('siteChecked', '21:00', { finding: { swelling: true } });
  const found = (log: LineLog) => log.state().finding;

  it('is told anew by each look that finds something, and gone with one that finds nothing', () => {
    expect(found(swollen())).toMatchObject({ told: wall('21:00'), site: { swelling: true }, limb: null });
    expect(found(swollen().add('redressed', '21:30', { finding: { ooze: true } }))).toMatchObject({
      told: wall('21:30'),
      site: { ooze: true },
    });
    const gone = swollen().add('siteChecked', '21:30', { finding: {} }, { by: 'teo' }).state();
    expect(gone).toMatchObject({
      finding: null,
      findingGone: { at: wall('21:30'), by: 'teo', told: wall('21:30') },
    });
    expect(line().add('siteChecked', '21:00', { finding: {} }).state().findingGone).toBeNull();
  });

  it('stands by a look that was recorded before it was; then both are seen', () => {
    const late = { told: wall('21:40') };
    const first = () => line().add('siteChecked', '21:00', { finding: { swelling: true } }, late);
    expect(found(first().add('siteChecked', '21:30', { finding: {} }))).toMatchObject({
      told: wall('21:40'),
    });
    expect(found(first().add('siteChecked', '21:30', { finding: { ooze: true } }))).toMatchObject({
      told: wall('21:40'),
      site: { swelling: true, ooze: true },
    });
    expect(found(first().add('pulseChecked', '21:30', { pulse: 'present' }))).toMatchObject({
      site: { swelling: true },
    });
    expect(found(first().add('pulseChecked', '21:30', { pulse: 'absent' }))).toMatchObject({
      told: wall('21:40'),
      limb: { pulse: 'absent' },
    });
  });

  it('of the limb ends with a pulse that is felt, that of the site does not', () => {
    const both = () => line().add('siteChecked', '21:00', { finding: { pain: true, cold: true } });
    expect(found(both().add('pulseChecked', '21:30', { pulse: 'present' }))).toMatchObject({
      told: wall('21:00'),
      site: { pain: true },
      limb: null,
    });
    expect(found(both().add('pulseChecked', '21:30', { pulse: 'present' }))?.site).toEqual({ pain: true });
    expect(found(both().add('pulseChecked', '21:30', { pulse: 'weak' }))?.site).toEqual({
      pain: true,
      cold: true,
    });
    const cold = () => line().add('siteChecked', '21:00', { finding: { cold: true } });
    expect(cold().add('pulseChecked', '21:30', { pulse: 'present' }).state()).toMatchObject({
      finding: null,
      findingGone: { at: wall('21:30') },
    });
    expect(found(swollen().add('pulseChecked', '21:30', { pulse: 'absent' }))).toMatchObject({
      told: wall('21:30'),
      site: { swelling: true },
      limb: { pulse: 'absent' },
    });
  });

  it.each<[string, object, object, boolean]>([
    [
      'a sign that was added',
      { finding: { swelling: true } },
      { finding: { swelling: true, noPulse: true } },
      true,
    ],
    [
      'a sign that was taken away',
      { finding: { swelling: true, ooze: true } },
      { finding: { swelling: true } },
      false,
    ],
    [
      'that the dressing is soiled',
      { finding: { swelling: true } },
      { finding: { swelling: true, soiled: true } },
      false,
    ],
  ])('that is put right is news by %s', (_what, first, after, isNews) => {
    const log = line()
      .add('siteChecked', '21:00', first as never)
      .add('amended', '21:20', { target: 2, body: after as never });
    expect(found(log)?.told).toBe(wall(isNews ? '21:20' : '21:00'));
  });

  it.each<[string, object, object, boolean]>([
    ['absent instead of weak', { pulse: 'weak', cold: true }, { pulse: 'absent', cold: true }, true],
    ['cold as well', { pulse: 'absent' }, { pulse: 'absent', cold: true }, true],
    ['weak instead of absent', { pulse: 'absent', cold: true }, { pulse: 'weak', cold: true }, false],
    [
      'not present instead of present',
      { pulse: 'present', cold: true },
      { pulse: 'cannot tell', cold: true },
      true,
    ],
  ])('of a pulse that is put right is news by %s', (_what, first, after, isNews) => {
    const log = line()
      .add('pulseChecked', '21:00', first as never)
      .add('amended', '21:20', { target: 2, body: after as never });
    expect(found(log)?.told).toBe(wall(isNews ? '21:20' : '21:00'));
  });

  it('soiled is none, and asks for a redress', () => {
    const soiled = line()
      .add('siteChecked', '21:00', { finding: { soiled: true } })
      .state();
    expect(soiled).toMatchObject({ finding: null, redressCause: { at: wall('21:00'), why: 'soiled' } });
    expect(line().add('siteChecked', '21:00', { finding: {} }).state().redressCause).toBeNull();
  });
});

describe('faults', () => {
  const open = (log: LineLog, sign: 'flat' | 'spiky', at: string) => log.add('faultOpened', at, { sign });
  it('are remembered, five and every one that is open', () => {
    const log = open(line(), 'spiky', '20:10');
    for (let n = 1; n <= 6; n += 1)
      log
        .add('faultOpened', wall('20:10') + n * 2 * minute, { sign: 'flat' })
        .add('faultClosed', wall('20:11') + n * 2 * minute, { resolved: true, sign: 'flat' });
    log.add('faultOpened', '21:00', { sign: 'flat' });
    const { faults } = log.state();
    expect(faults.map(({ sign, closedAt }) => [sign, closedAt === null])).toEqual([
      ['spiky', true],
      ['flat', false],
      ['flat', false],
      ['flat', false],
      ['flat', false],
      ['flat', true],
    ]);
  });

  it('take a step of their own path, known from when it was recorded', () => {
    const log = open(open(line(), 'flat', '20:10'), 'spiky', '20:12');
    log.add('faultStep', '20:14', { step: 'flat.patient', answer: 'good' }, { told: wall('20:20') });
    expect(log.state().faults.map(({ steps, latest }) => [steps.length, latest])).toEqual([
      [1, { told: wall('20:20'), entry: 4 }],
      [0, { told: wall('20:12'), entry: 3 }],
    ]);
    const none = line().add('faultStep', '20:14', { step: 'flat.patient', answer: 'good' });
    expect(none.state().faults).toEqual([]);
  });

  it('close one by its sign, or all', () => {
    const two = () => open(open(line(), 'flat', '20:10'), 'spiky', '20:12');
    const closed = (log: LineLog) => log.state().faults.map(({ closedAt, resolved }) => [closedAt, resolved]);
    expect(closed(two().add('faultClosed', '20:20', { resolved: true, sign: 'flat' }))).toEqual([
      [wall('20:20'), true],
      [null, false],
    ]);
    expect(closed(two().add('faultClosed', '20:20', { resolved: true }))).toEqual([
      [wall('20:20'), true],
      [wall('20:20'), true],
    ]);
  });

  it('left are the clinician’s with what was looked at, until one of that sign is solved', () => {
    const left = () =>
      open(line(), 'flat', '20:10')
        .add('faultStep', '20:12', { step: 'flat.patient', answer: 'good' })
        .add('faultClosed', '20:20', { resolved: false }, { told: wall('20:25') });
    expect(left().state().faultLeft).toMatchObject({
      told: wall('20:25'),
      sign: 'flat',
      steps: [{ step: 'flat.patient', answer: 'good' }],
    });
    const solved = (sign: 'flat' | 'spiky') =>
      open(left(), sign, '20:30').add('faultClosed', '20:40', { resolved: true, sign }).state();
    expect(solved('flat')).toMatchObject({ faultLeft: null, faultLeftResolved: { told: wall('20:40') } });
    expect(solved('spiky').faultLeft).not.toBeNull();
    expect(
      open(line(), 'flat', '20:10').add('faultClosed', '20:20', { resolved: true }).state().faultLeftResolved,
    ).toBeNull();
    expect(line().add('faultClosed', '20:20', { resolved: false }).state().faultLeft).toBeNull();
  });
});
