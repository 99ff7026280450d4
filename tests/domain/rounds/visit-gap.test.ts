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

  it.each<[string, LineLog, string]>([
    [
      'was done by a pump that took over',
      asked().add('flushModeChanged', '03:02', { mode: 'continuous' }),
      '03:05',
    ],
    [
      'was taken over in that very minute',
      asked().add('claimed', '03:00', { duties: [['flush', due]], until: wall('03:20') }),
      '03:05',
    ],
    [
      'had been taken over before it was asked for, until then',
      new LineLog('20:00')
        .inOrder('20:05')
        .add('flushed', '02:00', {})
        .add('claimed', '02:50', { duties: [['flush', due]], until: wall('03:00') })
        .add('nudged', '03:00', { duties: [['flush', due]] }),
      '03:30',
    ],
    [
      'was caused by somebody in that very minute',
      asked().add('disturbed', '03:00', { how: 'moved' }),
      '03:05',
    ],
    [
      'had been caused before',
      new LineLog('20:00')
        .inOrder('20:05')
        .add('flushed', '02:00', {})
        .add('disturbed', '02:50', { how: 'moved' })
        .add('nudged', '03:00', {
          duties: [
            ['flush', due],
            ['zero', wall('02:50')],
          ],
        }),
      '03:30',
    ],
    [
      'was done of two things it asked for',
      new LineLog('20:00')
        .inOrder('20:05')
        .add('flushed', '02:00', {})
        .add('nudged', '03:00', {
          duties: [
            ['flush', due],
            ['site', wall('00:00')],
          ],
        })
        .add('siteChecked', '03:02', { finding: {} }),
      '03:05',
    ],
    [
      'was asked for, whatever was done of the visit before it',
      new LineLog('20:00')
        .inOrder('20:05')
        .add('flushed', '02:00', {})
        .add('nudged', '02:30', { duties: [['site', wall('00:00')]] })
        .add('claimed', '02:31', { duties: [['site', wall('00:00')]], until: wall('05:00') })
        .add('nudged', '03:00', { duties: [['flush', due]] }),
      '03:30',
    ],
  ])('%s', (_which, log, until) => {
    expect(held(log)).toBe(wall(until));
  });

  it('does not wait for what was told apart from visits', () => {
    const cat = new LineLog('19:00', { patient: { species: 'cat', weightKg: 4 } }).add('nudged', '03:00', {
      duties: [['dwellLimit', wall('03:00')]],
    });
    expect(held(cat)).toBe(0);
    expect(held(new LineLog('20:00'))).toBe(0);
  });

  it('waits for the gap alone where the one before brought only news, which asks for nothing', () => {
    const cat = new LineLog('20:00', { patient: { species: 'cat', weightKg: 4 } }).add('nudged', '03:00', {
      duties: [['dwellWarning', wall('02:00')]],
    });
    expect(held(cat)).toBe(wall('03:05'));
  });

  it('begins half an hour after a cat’s limit was called out, where nothing was done of either', () => {
    const cat = new LineLog('19:00', { patient: { species: 'cat', weightKg: 4 } }, 'line-2').add(
      'nudged',
      '03:02',
      {
        duties: [['dwellLimit', wall('03:00')]],
      },
    );
    expect(held(asked(), cat)).toBe(wall('03:32'));
  });

  it('is not put off by what was only added to a message that stood', () => {
    const added = asked().add('escalated', '03:20', {
      duties: [['flush', due]],
      to: 'nurse',
      user: 'nina',
      joins: wall('03:10'),
    });
    expect(held(added)).toBe(wall('03:30'));
  });

  it('is looked at again every 10 min while nothing was done of the last; each nurse’s by itself', () => {
    const other = new LineLog('20:00', { nurse: 'teo' }, 'line-2').inOrder('20:05');
    const at = (now: string, id = 'line-1') =>
      visitsHeldUntil(ward, [asked().state(), other.state()], wall(now)).get(id);
    expect(at('03:04')).toBe(wall('03:10'));
    expect(at('03:10')).toBe(wall('03:20'));
    expect(at('03:21')).toBe(wall('03:30'));
    // Nothing was asked of Teo: at once.
    expect(at('03:04', 'line-2')).toBe(0);
  });

  it('waits where the one before began just as the shift’s visits do', () => {
    const line = asked().add('nudged', '06:55', { duties: [['flush', due]] });
    expect(visitHeldUntil(ward, [line.state()], wall('06:56'))).toBe(wall('07:25'));
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
    expect(isCalled([first, second], '03:59')).toBe(true);
    expect(isCalled([first, second], '04:00')).toBe(false);
    // Called later than this one, or in the same minute.
    expect(isCalled([cat('Tigger', '19:00', '03:11'), second], '03:10')).toBe(false);
    expect(isCalled([cat('Tigger', '19:00', '03:10'), second], '03:10')).toBe(false);
    // Another nurse was.
    const others = new LineLog(
      '19:00',
      { patient: { name: 'Tigger', species: 'cat', weightKg: 4 }, flushMode: 'continuous', nurse: 'teo' },
      'Tigger',
    ).add('nudged', '03:00', { duties: [['dwellLimit', wall('03:00')]] });
    expect(isCalled([others, second], '03:10')).toBe(false);
    const out = cat('Tigger', '19:00', '03:00').add('removed', '03:05', { reason: 'planned', finding: {} });
    expect(isCalled([out, second], '03:10')).toBe(false);
  });
});
