import { describe, expect, it } from 'vitest';
import type { LineState } from '../../../src/domain/record/line-state.ts';
import type { WardState } from '../../../src/domain/ward/ward-state.ts';
import type { Drawn } from '../../../src/slack/render/message.ts';
import { handoverMessages, handoverTexts } from '../../support/handed-over.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';
import { buttonsIn, composed, names, post } from './compose-for-test.ts';

const card = (line: LineState, now: string) =>
  composed(post('card', now, { lines: [line.id] }), testWard(), [line]);
const actionIds = (message: Drawn | undefined) =>
  buttonsIn(message?.blocks ?? []).map(({ action_id }) => action_id?.split(':').slice(0, 2).join(':'));

describe('a card', () => {
  it('of a line flushed by hand names it, says how it stands and what comes next, and has the commonest taps', async () => {
    const log = new LineLog('20:00', { indication: 'septic abdomen' })
      .inOrder('20:05')
      .add('flushed', '21:00', { volumeMl: 1 });
    const made = await card(log.state(), '21:10');
    expect(made.text).toMatch(/^Arterial line: Biscuit, left dorsal pedal\./);
    for (const fact of [
      'dog, 28 kg',
      '20 G, placed 20:00 by Nina Vale',
      'Why: septic abdomen',
      'Flush by hand, every 60 min',
      'Zero 20:05',
      'Fast-flush test 20:05: normal',
      'Flushed 21:00',
      'Flush 22:00',
      'not a monitor',
    ])
      expect(made.text).toContain(fact);
    expect(actionIds(made)).toEqual(['done:flush', 'done:zero', 'open:card', 'open:mine']);
    expect(made.settled).toBe(false);
  });

  it('names who placed it and at which try, what was screened, and who let it be placed all the same, on the handover too', async () => {
    const log = new LineLog('20:00', {
      operator: 'vet',
      tries: 2,
      screening: {
        cautions: ['bleeding disorder', 'cat'],
        override: { clinician: 'vet', at: wall('19:58'), reason: 'needs <vasopressors>' },
      },
    });
    const line = log.state();
    const screened =
      'autions: bleeding disorder, cat; placed by decision of Dr Ada Holm, recorded 19:58: “needs &lt;vasopressors&gt;”';
    const made = await card(line, '21:10');
    expect(made.text).toContain('placed 20:00 by Dr Ada Holm at the 2nd try');
    expect(made.text).toContain(`C${screened}`);
    const handed = await handoverTexts([log], testWard(), wall('21:10'), { names, forMs: wall('21:10') });
    expect(handed.patients).toContain('Placed 20:00 by Dr Ada Holm at the 2nd try, in for 1 h 10 min');
    expect(handed.patients).toContain(`c${screened}`);
  });

  it('says that it was screened and nothing found, or that nobody screened', async () => {
    const clear = new LineLog('20:00', { screening: { cautions: [] } }).state();
    expect((await card(clear, '21:10')).text).toContain('Screened: no cautions');
    expect((await card(new LineLog('20:00').state(), '21:10')).text).toContain('Not screened');
  });

  it('of a line flushed continuously shows its source and offers no hand flush', async () => {
    const log = new LineLog('20:00', {
      flushMode: 'continuous',
      source: { kind: 'pressure bag', volumeMl: 250, rateMlPerH: 3, pressureMmHg: 300 },
    });
    const made = await card(log.state(), '20:10');
    expect(made.text).toContain(
      'Flush continuous, pressure bag 250 mL at 3 mL/h, 300 mmHg (2.6 mL/kg/day, 5 % of maintenance).',
    );
    expect(actionIds(made)).toEqual(['done:zero', 'open:card', 'open:mine']);
  });

  it.each<[string, (log: LineLog) => LineLog, string]>([
    ['just opened', (log) => log, 'Open fault flat since 22:00, at patient'],
    [
      'half way',
      (log) =>
        ['patient=well', 'limb=good', 'kink=straight', 'draw=freely', 'tap=right'].reduce((made, one) => {
          const [step, answer = ''] = one.split('=');
          return made.add('faultStep', '22:02', { step: `flat.${step}`, answer });
        }, log),
      'Open fault flat since 22:00, at tubing',
    ],
    [
      'put right',
      (log) =>
        log
          .add('faultStep', '22:01', { step: 'flat.patient', answer: 'well' })
          .add('faultStep', '22:02', { step: 'flat.limb', answer: 'good' })
          .add('faultStep', '22:03', { step: 'flat.kink', answer: 'freed' })
          .add('faultStep', '22:04', { step: 'flat.kink.fixed', answer: 'solved' })
          .add('faultClosed', '22:04', { resolved: true, sign: 'flat', byPath: true }),
      'Last fault flat of 22:00: resolved 22:04, bent catheter straightened',
    ],
    [
      'stopped',
      (log) =>
        log
          .add('faultStep', '22:01', { step: 'flat.patient', answer: 'well' })
          .add('faultClosed', '22:04', { resolved: false, sign: 'flat' }),
      'Line fault not resolved: flat, stopped at catheter, recorded 22:04',
    ],
  ])('and a handover tell of a fault how far it got or how it ended: one %s', async (_what, then, words) => {
    const log = then(new LineLog('20:00').inOrder('20:05').add('faultOpened', '22:00', { sign: 'flat' }));
    expect((await card(log.state(), '22:10')).text).toContain(words);
    const handed = await handoverTexts([log], testWard(), wall('22:10'), { names, forMs: wall('22:10') });
    expect(handed.patients.toLowerCase()).toContain(words.replace('Last ', '').toLowerCase());
  });

  it('of a cat shows its dwell limit', async () => {
    const log = new LineLog('20:00', { patient: { species: 'cat', weightKg: 4 } });
    expect((await card(log.state(), '20:10')).text).toContain('Cat: dwell limit 04:00.');
  });

  it('says since when something is due rather than that it will be', async () => {
    expect((await card(new LineLog('20:00').state(), '20:40')).text).toContain(
      'Zero and level due since 20:00',
    );
  });

  it('of a line that is out says when, why, whether the tip was whole, and what is still owed', async () => {
    const log = new LineLog('20:00').add('removed', '22:00', { reason: 'dislodged', tipWhole: false });
    const out = await card(log.state(), '22:10');
    expect(out.text).toContain('Taken out 22:00 by Nina Vale: dislodged. Tip not whole.');
    expect(out.text).toMatch(/Still owed: .*pulse check of the hind foot 23:00/i);
    expect(out.settled).toBe(false);
    const dead = new LineLog('20:00').add('removed', '22:00', { reason: 'death' });
    const closed = await card(dead.state(), '22:10');
    expect(closed.text).toContain(
      'Nothing left to do. Taken out in error? “More…” puts it right until Wed 25 Nov 22:00.',
    );
    expect(actionIds(closed)).toEqual(['open:card']);
    expect(closed.settled).toBe(false);
    const dayAfter = await card(dead.state(), '2026-11-25 22:00');
    expect(dayAfter.text).toMatch(/Nothing left to do\.$/);
    expect(actionIds(dayAfter)).toEqual([]);
    expect(dayAfter.settled).toBe(true);
  });
});

describe('a handover', () => {
  const texts = (logs: LineLog[], now: string, changes: Partial<WardState> = {}) =>
    handoverTexts(logs, { ...testWard(), ...changes }, wall(now), { names });
  const first = async (logs: LineLog[], now: string, changes: Partial<WardState> = {}) => {
    const [made] = await handoverMessages(logs, { ...testWard(), ...changes }, wall(now), { names });
    return made?.message;
  };

  it('says of each patient in ISBAR order what a nurse works from', async () => {
    const log = new LineLog('12:30', { indication: 'gastric dilatation' })
      .inOrder('12:35')
      .add('flushed', '12:40', { volumeMl: 1 })
      .add('sampled', '13:00', { volumeMl: 2, discardMl: 3, discardReturned: false, flushed: true })
      .add('reading', '13:05', { sapMmHg: 118, dapMmHg: 64, mapMmHg: 82 })
      .add('noted', '13:10', { text: 'collar on <@U1>' });
    const { patients } = await texts([log], '18:45');
    const order = [
      'Each patient as of Tue 24 Nov 18:45',
      'Biscuit',
      'Identify dog, 28 kg; left dorsal pedal, 20 G; with Nina Vale.',
      'Situation Line in, no open fault. In for gastric dilatation.',
      'Background Placed 12:30 by Nina Vale, in for 6 h 15 min; 1 sample, 5 mL of blood lost in 24 h, 0.2 % of the circulating volume; 2 hand flushes, 3 mL; 1 with no volume recorded counts as 2 mL.',
      'Notes: “collar on &lt;@U1&gt;”.',
      'Assessment Zero 12:35, not levelled yet. Fast-flush test 12:35: normal, by eye. Reading 13:05: 118/64 (mean 82) mmHg, doubtful: not zeroed since the sample.',
      'Recommendation',
      'zero and level 13:00, 5 h 45 min late',
      'flush 14:00, 4 h 45 min late',
      'fast-flush test 19:00',
    ];
    let from = 0;
    for (const words of order) {
      const found = patients.indexOf(words, from);
      expect(found, `${words} in ${patients}`).toBeGreaterThanOrEqual(from);
      from = found;
    }
  });

  it('names in the middle of its sentence the reason that was chosen, and leaves as it is what somebody wrote', async () => {
    const why = async (indication: string) =>
      (await texts([new LineLog('12:30', { indication })], '18:45')).patients;
    expect(await why('Major surgery or anaesthesia')).toContain('In for major surgery or anaesthesia.');
    expect(await why('GDV')).toContain('In for GDV.');
  });

  it('keeps a line that is out with every check its limb is still owed', async () => {
    const log = new LineLog('17:55')
      .add('removed', '18:00', { reason: 'planned' })
      .add('holdEnded', '18:06', { oozing: false });
    const { patients, first: post } = await texts([log], '18:45');
    expect(post).toContain('Biscuit: out 18:00 (planned), pulse check of the hind foot 19:00');
    expect(patients).toContain('Situation Line out, limb follow-up still open.');
    expect(patients).toMatch(
      /Recommendation pulse check of the hind foot 19:00; next-day pulse check of the hind foot Wed 25 Nov 18:00\./,
    );
  });

  it('says who is on call, and asks for the acceptance until it is given or overtaken', async () => {
    const log = new LineLog('18:00').inOrder('18:05').add('flushed', '18:06', {});
    const posted = {
      for: wall('19:00'),
      auto: true,
      postedAt: wall('18:45'),
      accepted: null,
      nudgedAt: null,
    };
    const open = await first([log], '18:45', { handovers: [posted] });
    expect(open?.text).toMatch(
      /^Handover to night, Tue 24 Nov 19:00 to 07:00\. On call at 19:00: Dr Ada Holm\. 1 line at 18:45, /,
    );
    expect(open?.text).toContain('1 line at 18:45, nothing to watch; all go to whoever accepts.');
    expect(open?.text).not.toMatch(/accepted/i);
    expect(actionIds(open)).toEqual(['accept']);
    expect(open?.settled).toBe(false);

    const accepted = { ...posted, accepted: { at: wall('18:50'), by: 'nina' } };
    const taken = await first([log], '18:45', { handovers: [accepted] });
    expect(taken?.text).toContain('nothing to watch. Accepted 18:50 by Nina Vale, who took it.');
    expect(taken?.text).not.toContain('whoever accepts');
    expect(actionIds(taken)).toEqual(['open:assign']);

    const next = { ...posted, for: wall('2026-11-25 07:00'), postedAt: wall('2026-11-25 06:45') };
    const overtaken = await first([log], '18:45', { handovers: [posted, next] });
    expect(overtaken?.text).toContain('Not accepted; a newer handover took its place.');
    expect(overtaken?.text).not.toContain('whoever accepts');
    expect(overtaken?.settled).toBe(true);
  });

  it('names arteries tried without a line in the 24 h before, the latest first, six of them at most', async () => {
    const log = new LineLog('18:00').inOrder('18:05');
    const tried = (at: string, more: Partial<WardState['failedTries'][number]> = {}) => ({
      patient: { name: 'Mochi <3', species: 'cat' as const },
      site: 'median caudal' as const,
      operator: 'nina',
      tries: 1,
      number: 1,
      at: wall(at),
      told: wall(at),
      by: 'nina',
      ...more,
    });
    const end = async (failedTries: WardState['failedTries']) =>
      (await texts([log], '18:45', { failedTries })).first;
    expect(
      await end([
        tried('18:40'),
        tried('18:20', { site: 'radial', side: 'left', tries: 2, why: 'haematoma' }),
        tried('2026-11-23 18:45'),
        tried('18:46'),
      ]),
    ).toContain(
      'Tried, no line: Mochi &lt;3 (median caudal) 18:40, 1 try; Mochi &lt;3 (left radial) 18:20, 2 tries, haematoma. Look at the punctures and below them.',
    );
    const seven = Array.from({ length: 7 }, (_, index) => tried(`18:3${index}`));
    expect(await end(seven)).toMatch(
      /no line: Mochi &lt;3 \(median caudal\) 18:36, .*18:31, 1 try, and 1 more\. Look/,
    );
    expect(await end([tried('2026-11-23 18:45')])).not.toContain('Tried, no line');
  });
});
