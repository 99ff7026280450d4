import { describe, expect, it } from 'vitest';
import { policyChanges } from '../../../src/chat/messages/policy-changes.ts';
import { type WardPolicy, wardPolicySchema } from '../../../src/domain/policy/ward-policy.ts';
import { foldWardNext, type WardState } from '../../../src/domain/ward/ward-state.ts';
import { LineLog, minute, testWard, wall } from '../../support/line-builder.ts';
import { asked, composed, names, post } from './compose-for-test.ts';

const nobody = testWard({ rota: {} });

describe('nobody on call', () => {
  const log = new LineLog('20:00');
  const loud = post('notice', '21:20', {
    lines: [log.id],
    asked: asked(log.state(), { flush: '21:00' }),
    about: { what: 'nobody on call' },
  });

  it('is said loudly, with what is late and what to do', async () => {
    const { text, settled } = await composed(loud, nobody, [log.state()]);
    expect(text).toMatch(
      /^NOBODY IS ON CALL\. This is late: Biscuit \(left dorsal pedal\): flush, 20 min late\./,
    );
    expect(text).toMatch(/Call a clinician yourself now, then set who is on call: \/artline oncall @name\./);
    expect(settled).toBe(false);
  });

  it('is taken back when somebody is, and named', async () => {
    const { text } = await composed(
      loud,
      { ...nobody, onCallSet: { user: 'vet', at: wall('21:25'), by: 'nina' } },
      [log.state()],
      '21:26',
    );
    expect(text).toBe('Nobody had been on call. On call now: Dr Ada Holm.');
  });

  it('is settled when what was late is done', async () => {
    const done = log.add('flushed', '21:30', {}).state();
    const { text } = await composed(loud, nobody, [done], '21:31');
    expect(text).toMatch(/^Settled: nobody had been on call\./);
  });
});

describe('word that nobody answers', () => {
  const told = (id: string, at: string, joins?: string) =>
    new LineLog('20:00', { patient: { name: id } }, id).add('escalated', at, {
      duties: [['flush', wall('21:00')]],
      to: 'backup',
      user: 'bea',
      ...(joins === undefined ? {} : { joins: wall(joins) }),
    });
  const lines = [told('Otto', '22:50'), told('Juno', '22:55', '22:50')];
  const made = { lines: lines.map(({ id }) => id), about: { what: 'nobody answered', user: 'vet' } };
  const unanswered = post('notice', '22:50', {
    ...made,
    asked: asked(told('Otto', '22:50').state(), { flush: '21:00' }),
  });
  const states = lines.map((line) => line.state());

  it('shows what was added to it since, in the first of its parts alone', async () => {
    const { text } = await composed(unanswered, testWard(), states, '22:56');
    expect(text).toMatch(
      /^Dr Ada Holm hasn’t answered three messages\. @bea has been told now\. Ring a clinician now: Juno .*Otto /,
    );
    const part = { ...unanswered, about: { ...made.about, page: 2 } };
    expect((await composed(part, testWard(), states, '22:56')).text).not.toContain('Juno');
  });

  it('is said in one notice at a time, and the one before it is kept up to date for two hours', async () => {
    const [otto] = lines;
    const again = otto?.add('escalated', '23:20', {
      duties: [['flush', wall('21:00')]],
      to: 'backup',
      user: 'bea',
    });
    const at = (now: number) => composed(unanswered, testWard(), again ? [again.state()] : [], now);
    const until = unanswered.at + 2 * 60 * minute;
    const { text, settled } = await at(until - 1);
    expect(text).toBe('Dr Ada Holm hadn’t taken it by 22:50; said again 23:20.');
    expect(settled).toBe(false);
    expect((await at(until)).settled).toBe(true);
  });

  it('says why, where they said so themselves', async () => {
    const otto = (by: string) =>
      told('Otto', '22:50').add(
        'noted',
        '22:49',
        { text: 'in surgery', cannot: ['flush', wall('21:00')] },
        { by },
      );
    const head = async (...said: LineLog[]) => {
      const { text } = await composed(
        unanswered,
        testWard(),
        said.map((log) => log.state()),
        '22:56',
      );
      return text.split('.')[0];
    };
    expect(await head(otto('vet'))).toBe('Dr Ada Holm can’t see to it: “in surgery”');
    expect(await head(otto('vet'), told('Juno', '22:55', '22:50'))).toBe('Dr Ada Holm hasn’t taken these');
    expect(await head(otto('nina'))).toBe('Dr Ada Holm hasn’t answered three messages');
  });

  it('names nobody as told who was not, and calls nothing unanswered that was called once', async () => {
    const cried = (user: string) =>
      new LineLog('20:00')
        .add('escalated', '21:20', { duties: [['flush', wall('21:00')]], to: 'clinician', user: 'vet' })
        .add('escalated', '21:21', {
          duties: [['flush', wall('21:00')]],
          to: 'backup',
          ...(user === '' ? {} : { user }),
        });
    const said = async (log: LineLog) => {
      const about = { what: 'nobody answered' as const, user: 'vet' };
      const made = post('notice', '21:21', { about, asked: asked(log.state(), { flush: '21:00' }) });
      return (await composed(made, testWard({ backup: 'vet' }), [log.state()], '21:22')).text;
    };
    expect(await said(cried(''))).toMatch(/^Dr Ada Holm hasn’t taken this\. Ring a clinician now: /);
    expect(await said(cried('bea'))).toMatch(
      /^Dr Ada Holm hasn’t taken this\. @bea has been told now\. Ring/,
    );
  });

  it('has room for what is added on a ward of sixty lines with wide names', async () => {
    const many = Array.from({ length: 60 }, (_, index) =>
      new LineLog('20:00', { patient: { name: `${'Ｗ'.repeat(36)} ${index + 10}` } }, `line${index}`).add(
        'escalated',
        '22:55',
        { duties: [['flush', wall('21:00')]], to: 'backup', user: 'bea', joins: wall('22:50') },
      ),
    );
    const { text, blocks } = await composed(
      { ...unanswered, lines: many.map(({ id }) => id) },
      testWard(),
      many.map((line) => line.state()),
      '22:56',
    );
    expect(text).not.toContain('…');
    const named = text.match(/Ｗ \d\d \(/g)?.length ?? 0;
    expect(named).toBeGreaterThan(20);
    expect(text).toContain(`and ${60 - named} more lines: /artline due shows them`);
    expect(JSON.stringify(blocks).length).toBeLessThan(13_200);
  });
});

describe('word that the bot was down', () => {
  it('says from when to when, and what came due meanwhile as it stands now', async () => {
    const log = new LineLog('20:00').add('flushed', '22:05', {});
    const down = post('notice', '22:00', {
      lines: [log.id],
      asked: asked(log.state(), { flush: '21:00', zero: '20:00' }),
      about: { what: 'was down', for: wall('20:30') },
    });
    const { text } = await composed(down, testWard(), [log.state()], '22:06');
    expect(text).toMatch(/^The bot was down from 20:30 to 22:00; nobody was reminded\./);
    expect(text).toContain(
      'Biscuit (left dorsal pedal): Flush: done 22:05 by Nina Vale; Zero and level, due 20:00.',
    );
  });

  it('says so when nothing came due', async () => {
    const { text, settled } = await composed(
      post('notice', '22:00', { about: { what: 'was down', for: wall('21:30') } }),
      testWard(),
      [],
    );
    expect(text).toMatch(/Nothing came due\.$/);
    expect(settled).toBe(true);
  });
});

describe('word of the ward as a whole', () => {
  it('tells a new policy by its numbers that matter most, and who set it', async () => {
    const { text } = await composed(
      post('notice', '22:00', { about: { what: 'policy', user: 'nina' } }),
      testWard({ flushEveryMin: 45, catDwellWarningH: 10, catDwellLimitH: 12 }),
      [],
    );
    expect(text).toMatch(/^Nina Vale changed the ward policy\./);
    expect(text).toContain('day 07:00, night 19:00 (Europe/Berlin)');
    expect(text).toContain('Flush by hand every 45 min');
    expect(text).toContain('warning 10 h, limit 12 h');
  });

  it('says what of the policy is another, with what it was', async () => {
    const before = testWard({ clinicians: ['vet'], rota: { day: 'vet' } });
    const policy: WardPolicy = {
      ...before.policy,
      flushEveryMin: 45,
      sapTellBelowMmHg: null,
      graceMin: { nurse: 20, clinician: 30 },
      redressEveryH: 24,
      clinicians: ['nina'],
      rota: { night: 'vet' },
      questionsAt: '08:00',
      againFor: { cold: 'take it out' },
      dangerFor: ['zero'],
    };
    const set = { kind: 'policySet', body: { policy }, at: 0, told: 0, by: 'nina', via: 'form' } as const;
    const notice = (ward: WardState, more = {}) =>
      composed(
        post('notice', '22:00', { about: { what: 'policy', user: 'nina', for: 1, ...more } }),
        ward,
        [],
      );
    const changes =
      'Manual flush every 60 → 45 min. Other late care: nurse hears after 15 → 20 min. ' +
      'Reading says “tell the clinician”: systolic below 90 mmHg → never. Redress every 12 → 24 h. ' +
      'The day’s “still needed?” list: 09:00 → 08:00. When cold comes back: the usual words → “take it out”. ' +
      'On call by rota, night: nobody → Dr Ada Holm. On call by rota, day: Dr Ada Holm → nobody. ' +
      'Clinicians who may decide: now also Nina Vale; no longer Dr Ada Holm. ' +
      'Wakes the clinician as soon as it’s due: now also zero and level.';
    const after = foldWardNext(before, set);
    expect((await notice(after)).text).toBe(`Nina Vale changed the ward policy. ${changes}`);
    const back = foldWardNext(after, { ...set, body: { policy: before.policy } });
    expect((await notice(back, { for: 2, text: 'taken back' })).text).toMatch(
      /^Nina Vale took the latest change of the ward policy back\. Manual flush every 45 → 60 min\./,
    );
    // Changed once more before it could be said: what is said is true still.
    expect((await notice(back)).text).toMatch(/^Nina Vale changed the ward policy\. Shifts day 07:00/);
    const same = foldWardNext(before, { ...set, body: { policy: before.policy } });
    expect((await notice(same)).text).toMatch(
      /^Nina Vale set the ward policy; nothing in it changed\. Shifts day 07:00/,
    );
  });

  it('leaves out no part of a policy that is another', async () => {
    const { policy } = testWard();
    const others: Partial<WardPolicy> = {
      shifts: { ...policy.shifts, zone: 'Europe/Paris' },
      redressEveryH: 24,
      clinicians: ['vet'],
      lead: 'vet',
      dangerFor: ['zero'],
      againFor: { cold: 'take it out' },
      waking: { from: '06:00', to: '22:00' },
      questionsAt: '08:00',
      backup: 'vet',
      inCharge: { day: 'nina' },
      overrideFor: [],
      rota: { day: 'nina', night: 'vet' },
      flushGraceMin: { nurse: 5, clinician: 20 },
      graceMin: { nurse: 5, clinician: 30 },
    };
    for (const key of Object.keys(wardPolicySchema.shape) as (keyof WardPolicy)[]) {
      const now = { ...policy, [key]: others[key] ?? Number(policy[key]) + 1 };
      expect([key, (await policyChanges(policy, now, names)).length]).toEqual([key, 1]);
    }
  });

  it('asks for the acceptance of a handover, and says when it came', async () => {
    const for19 = wall('19:00');
    const notice = post('notice', '19:30', { about: { what: 'handover not accepted', for: for19 } });
    const posted = {
      for: for19,
      auto: true,
      postedAt: wall('18:45'),
      accepted: null,
      nudgedAt: wall('19:30'),
    };
    const ward = testWard();
    const open = await composed(notice, { ...ward, handovers: [posted] }, []);
    expect(open.text).toMatch(
      /^Nobody has accepted the handover for 19:00 yet\. If you have the ward now, press “Accept” at its end/,
    );
    const next = { ...posted, for: wall('07:00'), postedAt: wall('06:45') };
    const over = await composed(notice, { ...ward, handovers: [posted, next] }, [], '06:50');
    expect(over.text).toBe('Nobody accepted the handover for 19:00; a newer one took its place.');
    const accepted = { ...posted, accepted: { at: wall('19:40'), by: 'nina' } };
    const done = await composed(notice, { ...ward, handovers: [accepted] }, [], '19:41');
    expect(done.text).toBe('The handover for 19:00 was accepted 19:40.');
  });
});
