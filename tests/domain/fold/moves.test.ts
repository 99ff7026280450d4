import { describe, expect, it } from 'vitest';
import { hour, LineLog, wall } from '../../support/line-builder.ts';

const bag = { kind: 'pressure bag', volumeMl: 250, rateMlPerH: 3 } as const;
const line = () => new LineLog('20:00');
const onPump = () => new LineLog('20:00', { flushMode: 'continuous', source: bag });

describe('a line that is capped and joined', () => {
  const capped = (log = onPump(), flushed = true) => log.add('capped', '21:00', { flushed });
  const join = (log: LineLog, flushMode: 'manual' | 'continuous', source?: typeof bag) =>
    log.add('transducerJoined', '22:00', { newSet: false, flushMode, ...(source ? { source } : {}) }).state();

  it('sets aside what was left in its source: less what ran, to a tenth of a mL, and no volume where none is', () => {
    const aside = (
      volumeMl: number | undefined,
      rateMlPerH: number | undefined,
      flushMode: 'manual' | 'continuous' = 'continuous',
    ) =>
      capped(
        new LineLog('20:00', {
          flushMode,
          source: {
            kind: 'syringe',
            ...(volumeMl === undefined ? {} : { volumeMl }),
            ...(rateMlPerH === undefined ? {} : { rateMlPerH }),
          },
        }),
      ).state().setAside?.source;
    expect(aside(20, 3)).toEqual({ kind: 'syringe', volumeMl: 17, rateMlPerH: 3 });
    expect(aside(20, 2.35)).toEqual({ kind: 'syringe', volumeMl: 17.6, rateMlPerH: 2.35 });
    expect(aside(3, 3)).toEqual({ kind: 'syringe', rateMlPerH: 3 });
    expect(aside(20, undefined)).toEqual({ kind: 'syringe', volumeMl: 20 });
    expect(aside(undefined, 3)).toEqual({ kind: 'syringe', rateMlPerH: 3 });
    expect(aside(20, 3, 'manual')).toEqual({ kind: 'syringe', volumeMl: 20, rateMlPerH: 3 });
    expect(capped(line()).state().setAside).toEqual({ flushMode: 'manual', source: null });
  });

  it('is flushed by hand from then on, or as it was', () => {
    expect(capped().state()).toMatchObject({
      flushMode: 'manual',
      flushModeSince: wall('21:00'),
      source: null,
    });
    const byHand = capped(new LineLog('20:00', { source: { kind: 'syringe' } })).state();
    expect(byHand).toMatchObject({ flushModeSince: wall('20:00'), source: { kind: 'syringe' } });
  });

  it('asks for a flush where it was not flushed, and for nothing of a transducer', () => {
    expect(capped(onPump(), false).state().flushCause).toEqual({
      at: wall('21:00'),
      entry: 2,
      why: 'capped',
    });
    const owed = onPump().add('sampled', '20:30', { volumeMl: 1, flushed: false });
    expect(capped(owed, false).state().flushCause?.why).toBe('sampled');
    expect(capped().state()).toMatchObject({
      flushCause: null,
      zeroCause: null,
      testCause: null,
      levelCause: null,
    });
  });

  it('capped twice is capped once, since the first', () => {
    const twice = capped().add('capped', '21:30', { flushed: true }).state();
    expect(twice.cappedSpells).toEqual([{ from: wall('21:00'), until: null }]);
    expect(twice.setAside?.source?.volumeMl).toBe(247);
  });

  it('joined asks for zero, level and test, and is flushed as it was said', () => {
    const joined = join(capped(), 'continuous', bag);
    expect(joined).toMatchObject({
      cappedSpells: [{ from: wall('21:00'), until: wall('22:00') }],
      setAside: null,
      flushMode: 'continuous',
      flushModeSince: wall('22:00'),
      source: { ...bag, asOf: wall('22:00') },
      setSince: wall('20:00'),
    });
    const cause = { at: wall('22:00'), entry: 3, why: 'joined' };
    expect([joined.zeroCause, joined.testCause, joined.levelCause]).toEqual([cause, cause, cause]);
    expect(join(capped(), 'continuous').source).toBeNull();
    const byHand = capped(new LineLog('20:00', { source: { kind: 'syringe' } }));
    expect(join(byHand, 'manual')).toMatchObject({
      flushModeSince: wall('20:00'),
      source: { kind: 'syringe' },
    });
  });

  it('remembers the last five times', () => {
    const log = line();
    for (let n = 0; n < 6; n += 1) {
      log.add('capped', wall('21:00') + n * hour, { flushed: true });
      log.add('transducerJoined', wall('21:30') + n * hour, { newSet: false, flushMode: 'manual' });
    }
    expect(log.state().cappedSpells.map(({ from }) => from)).toEqual(
      [1, 2, 3, 4, 5].map((n) => wall('21:00') + n * hour),
    );
  });
});

describe('a move', () => {
  const left = () =>
    line()
      .inOrder('20:05')
      .add('levelled', '20:05', {})
      .add('leftWard', '21:00', { to: 'theatre', with: 'ana' });

  it('is off the ward since it left, wherever it went on to, with whoever was named last', () => {
    const away = (log: LineLog) => log.state().away;
    expect(away(left())).toMatchObject({
      from: wall('21:00'),
      at: wall('21:00'),
      to: 'theatre',
      with: 'ana',
      arrivedAt: null,
    });
    const on = () => left().add('arrived', '21:10', {}).add('leftWard', '21:30', { to: 'imaging' });
    expect(away(left().add('arrived', '21:10', {}))).toMatchObject({ with: 'ana', arrivedAt: wall('21:10') });
    expect(away(left().add('arrived', '21:10', { with: 'bo' }))).toMatchObject({ with: 'bo' });
    expect(away(on())).toMatchObject({
      from: wall('21:00'),
      at: wall('21:30'),
      to: 'imaging',
      with: 'ana',
      arrivedAt: null,
    });
    expect(on().state().awaySpells).toEqual([{ from: wall('21:00'), until: null }]);
    expect(away(line().add('leftWard', '21:00', { to: 'theatre' }))).toMatchObject({ with: null });
    expect(away(line().add('arrived', '21:00', {}))).toBeNull();
  });

  it('back is on the ward, with whoever took it back, where somebody was named', () => {
    const back = (who?: string) =>
      left()
        .add('returned', '22:00', who === undefined ? {} : { with: who }, { told: wall('22:05') })
        .state();
    expect(back()).toMatchObject({
      away: null,
      awaySpells: [{ from: wall('21:00'), until: wall('22:00') }],
      nurse: 'nina',
      nurseSince: wall('20:00'),
    });
    expect(back('teo')).toMatchObject({ nurse: 'teo', nurseSince: wall('22:05') });
  });

  it.each<[string, LineLog, string]>([
    ['leaving', left(), 'left'],
    ['arriving, in place of leaving', left().add('arrived', '21:10', {}), 'arrived'],
    [
      'coming back, in place of both',
      left().add('arrived', '21:10', {}).add('returned', '21:30', {}),
      'returned',
    ],
    [
      'what asked before it left',
      line()
        .inOrder('20:05')
        .add('levelled', '20:05', {})
        .add('disturbed', '20:50', { how: 'moved' })
        .add('leftWard', '21:00', { to: 'theatre' }),
      'disturbed',
    ],
  ])('asks for zero and level by %s', (_what, log, why) => {
    expect(log.state().zeroCause?.why).toBe(why);
    expect(log.state().levelCause?.why).toBe(why);
  });

  it('remembers the last five times off the ward', () => {
    const log = line();
    for (let n = 0; n < 6; n += 1)
      log
        .add('leftWard', wall('21:00') + n * hour, { to: 'imaging' })
        .add('returned', wall('21:30') + n * hour, {});
    expect(log.state().awaySpells.map(({ from }) => from)).toEqual(
      [1, 2, 3, 4, 5].map((n) => wall('21:00') + n * hour),
    );
  });
});
