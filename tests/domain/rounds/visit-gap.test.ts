import { describe, expect, it } from 'vitest';
import { isCalledAlready, visitHeldUntil, visitsHeldUntil } from '../../../src/domain/rounds/visit-gap.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';

// The ward's default gap is 5 min, its repeat 30 min: common practice, no source.
const ward = testWard();
const due = wall('03:00');
const asked = () =>
  new LineLog('20:00')
    .inOrder('20:05')
    .add('flushed', '02:00', {})
    .add('nudged', '03:00', { duties: [['flush', due]] });
const held = (...logs: LineLog[]) =>
  visitHeldUntil(
    ward,
    logs.map((log) => log.state()),
    wall('03:04'),
  );

describe('the next visit after one', () => {
  it('waits half an hour where nothing was done of it', () => {
    expect(held(asked())).toBe(wall('03:30'));
  });

  it.each([
    ['was done', asked().add('flushed', '03:02', {})],
    ['was taken over', asked().add('claimed', '03:02', { duties: [['flush', due]], until: wall('03:20') })],
    ['was put off', asked().add('snoozed', '03:02', { duties: [['flush', due]], until: wall('03:10') })],
    ['can’t be done', asked().add('noted', '03:02', { text: 'in theatre', cannot: ['flush', due] })],
  ])('waits for the gap alone where some of it %s', (_, log) => {
    expect(held(log)).toBe(wall('03:05'));
  });

  it('waits for the gap alone where somebody recorded what makes a duty due at once', () => {
    const moved = new LineLog('20:00', {}, 'line-2')
      .inOrder('20:05')
      .add('disturbed', '03:02', { how: 'moved' });
    expect(held(asked(), moved)).toBe(wall('03:05'));
  });

  it('waits for a quarter of an hour after what was late was told, too', () => {
    const told = asked().add('escalated', '03:20', { duties: [['flush', due]], to: 'nurse', user: 'nina' });
    expect(held(told)).toBe(wall('03:35'));
  });

  it('waits for nothing where the one before was in the shift before', () => {
    const line = asked().add('nudged', '06:53', { duties: [['flush', due]] });
    expect(visitHeldUntil(ward, [line.state()], wall('06:54'))).toBe(wall('07:23'));
    // The day's visits begin 5 min before the day does.
    expect(visitHeldUntil(ward, [line.state()], wall('06:55'))).toBe(0);
    expect(visitsHeldUntil(ward, [line.state()], wall('06:54')).get(line.id)).toBe(wall('06:55'));
  });
});

describe('the nurse of two cats past their limit', () => {
  const cat = (id: string, placed: string, told: string) =>
    new LineLog(
      placed,
      { patient: { name: id, species: 'cat', weightKg: 4 }, flushMode: 'continuous' },
      id,
    ).add('nudged', told, { duties: [['dwellLimit', wall(told)]] });
  const first = cat('Tigger', '19:00', '03:00');
  const second = cat('Mia', '19:10', '03:10');
  const isCalled = (logs: LineLog[], at: string) =>
    isCalledAlready(
      ward,
      logs.map((log) => log.state()),
      { id: 'Mia', nurse: 'nina' },
      wall(at),
      wall(at),
    );

  it('is called for the first, and named for the second while nothing was said of the first', () => {
    expect(isCalled([first, second], '03:10')).toBe(true);
    expect(isCalled([second], '03:10')).toBe(false);
    expect(isCalled([first, second], '04:01')).toBe(false);
    const out = cat('Tigger', '19:00', '03:00').add('removed', '03:05', { reason: 'planned', finding: {} });
    expect(isCalled([out, second], '03:10')).toBe(false);
  });
});
