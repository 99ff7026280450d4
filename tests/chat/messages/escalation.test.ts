import { describe, expect, it } from 'vitest';
import { composeMessage } from '../../../src/chat/messages/compose.ts';
import type { DutyKind } from '../../../src/domain/duty-kind.ts';
import { lockScreenMax } from '../../../src/wording/care/lock-screen.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';
import { asked, buttonsIn, composed, names, post } from './compose-for-test.ts';

type Duties = { asked: ReturnType<typeof asked>; lines: string[] };
const toClinician = (at: string, duties: Duties) =>
  post('escalation', at, { to: { user: 'vet' }, about: { what: 'clinician' }, ...duties });
const about = (log: LineLog, duties: Partial<Record<DutyKind, string>>): Duties => ({
  asked: asked(log.state(), duties as Record<string, string>),
  lines: [log.id],
});

describe('the first line of a message to the clinician', () => {
  // Flush placed 20:00 and due 21:00; the others by the duties table of the ward policy.
  it.each<[string, Partial<Record<DutyKind, string>>, string, string]>([
    ['a flush', { flush: '21:00' }, '21:20', 'flush 20 min late, may clot'],
    ['zero and level', { zero: '20:00' }, '20:30', 'zero and level 30 min late, may read wrong'],
    ['a test', { test: '20:00' }, '20:30', 'fast-flush test 30 min late, may read wrong'],
    ['a site check', { site: '00:00' }, '00:30', 'site and limb check 30 min late, limb at risk'],
  ])(
    'says of %s which patient, what, how late, what it risks and whom it is with',
    async (_what, duties, at, late) => {
      const log = new LineLog('20:00');
      const { text, blocks } = await composed(toClinician(at, about(log, duties)), testWard(), [log.state()]);
      const first = `BISCUIT dog: ${late}. With Nina Vale. Call the ward or take it.`;
      expect(text.startsWith(`${first} Biscuit (left dorsal pedal) · dog, 28 kg`)).toBe(true);
      expect(blocks[0]).toMatchObject({ text: { text: `*${first}*` } });
    },
  );

  it('says who was asked, and since when', async () => {
    const duty: [DutyKind, number] = ['flush', wall('21:00')];
    const first = async (log: LineLog) => {
      const { text } = await composed(toClinician('21:20', about(log, { flush: '21:00' })), testWard(), [
        log.state(),
      ]);
      return text.slice(0, lockScreenMax);
    };
    const log = new LineLog('20:00').add('nudged', '21:00', { duties: [duty] });
    expect(await first(log)).toContain('may clot. Asked the ward 21:00. Call');
    log.add('escalated', '21:10', { duties: [duty], to: 'nurse', user: 'nina' });
    expect(await first(log)).toContain('may clot. Asked Nina Vale 21:10. Call');
    log.add('noted', '21:15', { text: 'in theatre', cannot: duty });
    expect(await first(log)).toContain('may clot. Nina Vale couldn’t, 21:15. Call');
  });

  it('says which ward to call where there are several', async () => {
    const log = new LineLog('20:00');
    const ward = testWard();
    const { lead } = await composeMessage(
      toClinician('21:20', about(log, { flush: '21:00' })),
      { ward, lines: [log.state()] },
      { ...names, ward: async (wardId) => (wardId === ward.id ? '#cat-icu' : null) },
      wall('21:20'),
    );
    expect(lead).toBe('BISCUIT dog: flush 20 min late, may clot. With Nina Vale. Call #cat-icu or take it.');
  });

  it('says of a cat’s dwell when the limit is, and when it is reached', async () => {
    const log = new LineLog('19:00', { patient: { name: 'Mochi', species: 'cat', weightKg: 4 } });
    const warning = await composed(toClinician('01:00', about(log, { dwellWarning: '01:00' })), testWard(), [
      log.state(),
    ]);
    expect(warning.text).toMatch(
      /^MOCHI cat: dwell limit at 03:00, limb at risk\..* Risk: arterial thrombosis/,
    );
    const limit = await composed(toClinician('03:00', about(log, { dwellLimit: '03:00' })), testWard(), [
      log.state(),
    ]);
    expect(limit.text).toMatch(
      /^MOCHI cat: dwell limit reached now, limb at risk\..* Risk: arterial thrombosis, loss of the limb\./,
    );
  });

  it('says of a cat’s warning after a clinician kept the line in that it was kept in, by whom and until when', async () => {
    const log = new LineLog('19:00', { patient: { name: 'Mochi', species: 'cat', weightKg: 4 } }).add(
      'waived',
      '01:10',
      { duty: 'dwellLimit', dueAt: wall('03:00'), reason: 'transfusion', until: wall('05:00') },
      { by: 'vet' },
    );
    const post = toClinician('01:00', about(log, { dwellWarning: '01:00' }));
    const { text } = await composed(post, testWard(), [log.state()], '01:11');
    expect(text).toContain('Line kept in by Dr Ada Holm, asked again 05:00: “transfusion”.');
    expect(text).not.toContain('the limit counts now');
  });

  it('puts the gravest first, counts the others, and lists each once with when it was due', async () => {
    const log = new LineLog('20:00');
    const { text } = await composed(
      toClinician('21:20', about(log, { zero: '20:00', test: '20:00', flush: '21:00' })),
      testWard(),
      [log.state()],
    );
    expect(text).toMatch(
      /^BISCUIT dog: flush 20 min late and 2 more duties, .* · with Nina Vale\. Flush, due 21:00\. Zero and level, due 20:00\. Fast-flush test, due 20:00\./,
    );
    expect(text).toContain('Risks: clot, lost line; pressures that cannot be trusted; damping unseen.');
  });

  it('tells why the nurse could not', async () => {
    const log = new LineLog('20:00').add('noted', '21:05', {
      text: 'no blood <!here> comes back',
      cannot: ['flush', wall('21:00')],
    });
    const { text } = await composed(toClinician('21:05', about(log, { flush: '21:00' })), testWard(), [
      log.state(),
    ]);
    expect(text).toMatch(
      /Nina Vale couldn’t, 21:05\..* Nina Vale could not: “no blood &lt;!here&gt; comes back”\./,
    );
  });
});

describe('the buttons of a message to the clinician', () => {
  it('offer to take it, to pass it on, to tell it done, to open the line and to let it go; not to put it off', async () => {
    const log = new LineLog('20:00');
    const { blocks } = await composed(toClinician('21:20', about(log, { flush: '21:00' })), testWard(), [
      log.state(),
    ]);
    expect(buttonsIn(blocks).map(({ action_id }) => action_id)).toEqual([
      `claim:${log.id}`,
      'cannot:why:notfree',
      `done:${log.id}`,
      `open:card:${log.id}`,
      `open:letgo:${log.id}`,
    ]);
  });

  it('pass on a danger alone, of which the clinician has not said yet that they can’t come, and no cat’s limit', async () => {
    const offers = async (log: LineLog, duties: Parameters<typeof about>[1], now = '21:20') => {
      const told = toClinician('21:20', about(log, duties));
      const { blocks } = await composed(told, testWard(), [log.state()], now);
      return buttonsIn(blocks).some(({ action_id }) => action_id === 'cannot:why:notfree');
    };
    const flush = () => new LineLog('20:00').inOrder('20:05');
    expect(await offers(flush(), { flush: '21:00' })).toBe(true);
    expect(await offers(flush(), { flush: '21:00' }, '21:19')).toBe(false);
    expect(await offers(new LineLog('20:00'), { zero: '20:10' })).toBe(false);
    const said = flush().add(
      'noted',
      '21:21',
      { text: 'in surgery', cannot: ['flush', wall('21:00')] },
      { by: 'vet' },
    );
    expect(await offers(said, { flush: '21:00' })).toBe(false);
    const cat = new LineLog('10:00', { patient: { species: 'cat', weightKg: 4 } });
    expect(await offers(cat, { dwellLimit: '18:00' })).toBe(false);
  });

  it('are gone when it was done, and the message says by whom and when', async () => {
    const log = new LineLog('20:00').add('flushed', '21:25', {});
    const { text, blocks, settled } = await composed(
      toClinician('21:20', about(log, { flush: '21:00' })),
      testWard(),
      [log.state()],
      '21:26',
    );
    expect(text).toMatch(/^Settled\. .*Flush: done 21:25 by Nina Vale\./);
    expect(blocks.some(({ type }) => type === 'actions')).toBe(false);
    expect(settled).toBe(false);
  });

  it('come back when the entry that settled it is struck', async () => {
    const log = new LineLog('20:00')
      .add('flushed', '21:25', {})
      .add('amended', '21:30', { target: 2, strike: 'other patient' });
    const { text, blocks } = await composed(
      toClinician('21:20', about(log, { flush: '21:00' })),
      testWard(),
      [log.state()],
      '21:31',
    );
    expect(text).toMatch(/^BISCUIT dog: flush 30 min late,/);
    expect(blocks.some(({ type }) => type === 'actions')).toBe(true);
  });

  it('come back with how late it is by then, not with how late it was when the message came', async () => {
    const flush: [DutyKind, number] = ['flush', wall('21:00')];
    const log = new LineLog('20:00')
      .add('escalated', '21:10', { duties: [flush], to: 'nurse', user: 'nina' })
      .add('escalated', '21:20', { duties: [flush], to: 'clinician', user: 'vet' })
      .add('flushed', '21:25', {})
      .add('amended', '21:36', { target: 4, strike: 'other line' });
    const duties = about(log, { flush: '21:00' });
    const nurses = post('escalation', '21:10', { to: { user: 'nina' }, about: { what: 'nurse' }, ...duties });
    const text = async (one: typeof nurses, lines = [log.state()]) =>
      (await composed(one, testWard(), lines, '21:40')).text;
    expect(await text(nurses)).toContain('Biscuit (left dorsal pedal): flush, 36 min late. Risk:');
    expect(await text(toClinician('21:20', duties))).toMatch(/^BISCUIT dog: flush 36 min late, may clot\./);
  });

  it('stand no longer than two hours for amendments: then the message is let go of', async () => {
    const log = new LineLog('20:00').add('flushed', '21:25', {});
    const { settled } = await composed(
      toClinician('21:20', about(log, { flush: '21:00' })),
      testWard(),
      [log.state()],
      '23:20',
    );
    expect(settled).toBe(true);
  });
});

describe('a message that a newer one took over', () => {
  it.each([
    ['the same clinician', { user: 'vet' }, 'Still open, and repeated in a newer message, 21:50.'],
    ['another', { user: 'nina' }, 'Still open, and sent to Nina Vale, who is on call, 21:50.'],
    ['nobody', {}, 'Still open, and posted to the ward, since nobody is on call, 21:50.'],
  ])('says whom to: %s', async (_title, user, text) => {
    const log = new LineLog('20:00').add('escalated', '21:50', {
      duties: [['flush', wall('21:00')]],
      to: 'clinician',
      ...user,
    });
    const made = toClinician('21:20', about(log, { flush: '21:00' }));
    expect((await composed(made, testWard(), [log.state()], '21:51')).text).toBe(text);
  });
});

describe('a finding', () => {
  it('says which patient, what was seen, where, when and by whom in the first line', async () => {
    const log = new LineLog('20:00').add('siteChecked', '22:00', { finding: { cold: true, noPulse: true } });
    const told = toClinician('22:00', about(log, { finding: '22:00' }));
    const said = await composed(told, testWard(), [log.state()]);
    expect(said.text.slice(0, lockScreenMax)).toContain(
      'BISCUIT dog: no pulse below, cold hind foot, limb at risk. Nina Vale saw it 22:00. Call the ward or take it.',
    );
    expect(said.text).toContain('seen 22:00 by Nina Vale: needs looking at now');
    expect(buttonsIn(said.blocks).map(({ text }) => text.text)).toEqual([
      'I take it for 30 min',
      'I can’t come',
      'Looked again…',
      'Open the line',
      'Seen: ask again…',
    ]);
  });

  it('that was struck, found gone, or told anew is not asked for any more', async () => {
    const log = new LineLog('20:00').add('siteChecked', '22:00', { finding: { swelling: true } });
    const told = toClinician('22:00', about(log, { finding: '22:00' }));
    const struck = new LineLog('20:00')
      .add('siteChecked', '22:00', { finding: { swelling: true } })
      .add('amended', '22:10', { target: 2, strike: 'wrong patient' });
    expect((await composed(told, testWard(), [struck.state()])).text).toMatch(
      /Clinician’s look at the finding: since corrected\./,
    );
    log.add('siteChecked', '22:20', { finding: { swelling: true, cold: true } });
    expect((await composed(told, testWard(), [log.state()])).text).toContain('reported again since');
    log.add('siteChecked', '22:30', { finding: {} });
    const gone = await composed(told, testWard(), [log.state()]);
    expect(gone.text).toContain('Finding: looked at again 22:30 by Nina Vale, nothing amiss.');
    expect(buttonsIn(gone.blocks)).toEqual([]);
  });
});

describe('a line fault that was left', () => {
  const left = () =>
    new LineLog('20:00')
      .inOrder('20:05')
      .add('faultOpened', '22:00', { sign: 'flat' })
      .add('faultStep', '22:05', { step: 'flat.patient', answer: 'bad' })
      .add('faultClosed', '22:05', { resolved: false, sign: 'flat', byPath: true });

  it('says which patient, what, why, when and what it risks in the first line, and offers the path again', async () => {
    const log = left();
    const told = toClinician('22:05', about(log, { fault: '22:05' }));
    const said = await composed(told, testWard(), [log.state()]);
    expect(said.text.slice(0, lockScreenMax)).toContain(
      'BISCUIT dog: fault not solved (flat), may clot. Nina Vale left it 22:05. Call the ward or take it.',
    );
    expect(said.text).toContain(
      'Line fault not resolved: flat, patient looks bad, recorded 22:05 by Nina Vale',
    );
    expect(said.text).toContain('recorded 22:05 by Nina Vale: needs looking at now');
    expect(buttonsIn(said.blocks).map(({ text }) => text.text)).toEqual([
      'I take it for 30 min',
      'I can’t come',
      'Try again…',
      'Taken out…',
      'Open the line',
      'Seen: ask again…',
    ]);
  });

  it('stands among late care without offering two of one button', async () => {
    const log = left();
    const told = toClinician('20:00', about(log, { fault: '22:05', flush: '21:00', stillNeeded: '20:00' }));
    const said = await composed(told, testWard(), [log.state()], '2026-11-25 21:00');
    const ids = buttonsIn(said.blocks).map(({ action_id }) => action_id);
    expect(new Set(ids).size).toBe(ids.length);
    expect(ids).toContain('open:fault:line-1:again');
    expect(ids).toContain('open:remove:line-1');
  });

  it.each<[string, (log: LineLog) => LineLog, RegExp]>([
    [
      'resolved since',
      (log) =>
        log.add('faultOpened', '22:10', { sign: 'flat' }).add('faultClosed', '22:20', { resolved: true }),
      /Line fault: resolved 22:20, recorded by Nina Vale\./,
    ],
    [
      'left anew',
      (log) =>
        log.add('faultOpened', '22:10', { sign: 'flat' }).add('faultClosed', '22:20', { resolved: false }),
      /reported again since/,
    ],
    ['struck', (log) => log.add('amended', '22:10', { target: 6, strike: 'a slip' }), /since corrected/],
    ['taken out', (log) => log.add('removed', '22:10', { reason: 'occluded' }), /line taken out 22:10/],
  ])('is not asked for any more when it was %s', async (_what, then, words) => {
    const log = left();
    const told = toClinician('22:05', about(log, { fault: '22:05' }));
    const said = await composed(told, testWard(), [then(log).state()], '22:30');
    expect(said.text).toMatch(words);
    expect(said.text).toMatch(/^Settled/);
    expect(buttonsIn(said.blocks)).toEqual([]);
  });
});
