import { describe, expect, it } from 'vitest';
import type { DutyKind } from '../../../src/domain/duty-kind.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';
import { asked, buttonsIn, composed, post } from './compose-for-test.ts';

const pair = (kind: DutyKind, due: string): [DutyKind, number] => [kind, wall(due)];

/** Zero and test were asked for at 20:10, and again with the flush in the round of 21:00. */
const askedTwice = () =>
  new LineLog('20:00')
    .add('nudged', '20:10', { duties: [pair('zero', '20:00'), pair('test', '20:00')] })
    .add('nudged', '21:00', {
      duties: [pair('zero', '20:00'), pair('test', '20:00'), pair('flush', '21:00')],
    });
const shownOf = async (log: LineLog, at: string, duties: Record<string, string>) => {
  const line = log.state();
  const made = post('nudge', at, { asked: asked(line, duties) });
  const { text, blocks, superseded } = await composed(made, testWard(), [line], '21:05');
  return { text, said: JSON.stringify(blocks), buttons: buttonsIn(blocks).length, superseded };
};

describe('a round whose duties a newer round asks for', () => {
  it('says in which round they are now, and has no buttons any more', async () => {
    const old = await shownOf(askedTwice(), '20:10', { zero: '20:00', test: '20:00' });
    expect(old.said).toContain('Zero and level, fast-flush test: in the round of 21:00.');
    expect(old.text).toMatch(/^Round of 20:10, the rest is in a newer round\./);
    expect(old).toMatchObject({ buttons: 0, superseded: true });
  });

  it('leaves all of them, with their buttons, to the newer one', async () => {
    const newer = await shownOf(askedTwice(), '21:00', { zero: '20:00', test: '20:00', flush: '21:00' });
    expect(newer.said).not.toContain('in the round of');
    expect(newer.text).toContain('flush, zero and level, fast-flush test');
    expect(newer.buttons).toBeGreaterThan(0);
  });

  it('still says what was done in it', async () => {
    const log = askedTwice().add('zeroed', '20:30', {});
    const old = await shownOf(log, '20:10', { zero: '20:00', test: '20:00' });
    expect(old.said).toContain('Zero and level: done 20:30 by Nina Vale.');
    expect(old.said).toContain('Fast-flush test: in the round of 21:00.');
  });

  it('keeps the buttons of what no newer round asks for', async () => {
    const log = new LineLog('20:00')
      .add('nudged', '20:10', { duties: [pair('zero', '20:00'), pair('test', '20:00')] })
      .add('nudged', '21:00', { duties: [pair('zero', '20:00')] });
    const old = await shownOf(log, '20:10', { zero: '20:00', test: '20:00' });
    expect(old.said).toContain('Zero and level: in the round of 21:00.');
    expect(old.text).toContain('fast-flush test');
    expect(old.buttons).toBeGreaterThan(0);
  });
});
