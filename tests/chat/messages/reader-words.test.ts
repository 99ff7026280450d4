import { describe, expect, it } from 'vitest';
import type { DutyKind } from '../../../src/domain/duty-kind.ts';
import { handoverTexts } from '../../support/handed-over.ts';
import { LineLog, type PlacedChanges, testWard, wall } from '../../support/line-builder.ts';
import { asked, buttonsIn, composed, names, post } from './compose-for-test.ts';

const toClinician = (log: LineLog, at: string, duties: Record<string, string>) =>
  post('escalation', at, {
    to: { user: 'vet' },
    lines: [log.id],
    asked: asked(log.state(), duties),
    about: { what: 'clinician' },
  });

const cat: PlacedChanges = { patient: { species: 'cat', weightKg: 4 } };
const pumped: PlacedChanges = {
  flushMode: 'continuous',
  source: { kind: 'pressure bag', volumeMl: 250, rateMlPerH: 3, pressureMmHg: 300 },
};

describe('what a woken clinician reads on a locked phone', () => {
  it('keeps patient, gravest duty, lateness, risk, nurse and what to do inside 120 characters, however much is late', async () => {
    const log = new LineLog('18:00', { patient: { name: 'Wilhelmina-von-Hohenstaufen' } });
    const duties = { flush: '19:00', zero: '18:00', test: '18:00', site: '22:00' };
    const { text } = await composed(toClinician(log, '23:59', duties), testWard(), [log.state()]);
    expect(text.slice(0, 120)).toContain(
      'WILHELMINA-VON-HOHENSTAUFEN dog: flush 4 h 59 min late and 3 more duties, may clot. With Nina. Call the ward or take it.',
    );
    for (const words of ['Zero and level, due 18:00', 'Site and limb check, due 22:00'])
      expect(text).toContain(words);
  });

  // Every duty whose ladder reaches a clinician; each 31 min after it came due, the dwell warning when it does.
  const climbing: [DutyKind, PlacedChanges?][] = [
    ['dwellLimit', cat],
    ['dwellWarning', cat],
    ['flush'],
    ['runOut', pumped],
    ['zero'],
    ['test'],
    ['source', pumped],
    ['site'],
    ['pulse'],
    ['pulseNextDay'],
    ['redress'],
    ['stillNeeded'],
    ['set'],
  ];
  it.each(climbing)(
    'fits patient, species, lateness of %s, risk, nurse and what to do into 120 characters, whatever the name',
    async (kind, changes = {}) => {
      const said = async (name: string) => {
        const log = new LineLog('2026-11-24 06:00', {
          ...changes,
          side: 'right',
          patient: { ...changes.patient, name },
        });
        if (kind.startsWith('pulse')) log.add('removed', '2026-11-24 12:00', { reason: 'planned' });
        const asOf = kind === 'dwellWarning' ? wall('2026-11-24 12:00') : wall('2026-11-29 12:00');
        const duty = log.duty(kind, testWard().policy, asOf);
        const dueAt = duty?.dueAt ?? Number.NaN;
        const now = kind === 'dwellWarning' ? dueAt : dueAt + 31 * 60_000;
        const { text } = await composed(
          post('escalation', '20:00', {
            to: { user: 'vet' },
            lines: [log.id],
            asked: [{ lineId: log.id, kind, dueAt }],
            about: { what: 'clinician' },
            at: now,
          }),
          testWard(),
          [log.state()],
        );
        return text.slice(0, 120);
      };
      const facts =
        /^(?:W{7,}…?|MISO) (?:dog|cat): .*(?:31 min late|passed 31 min ago|limit at \d\d:\d\d), [^.]+\. With Nina(?: Vale)?\. Call the ward or (?:take it|decide|answer)\./;
      for (const name of ['W'.repeat(40), 'Miso']) expect(await said(name)).toMatch(facts);
    },
  );

  it('says why the nurse could not beneath what the lock screen holds, not between it', async () => {
    const log = new LineLog('20:00').add('noted', '21:05', {
      text: 'will not flush',
      cannot: ['flush', wall('21:00')],
    });
    const { text } = await composed(toClinician(log, '21:05', { flush: '21:00' }), testWard(), [log.state()]);
    expect(text).toMatch(/^.{1,120}take it\. .*Nina Vale could not: “will not flush”\./);
  });
});

describe('a cat near its limit with other duties open', () => {
  it('lets the nurse tell the others in part or that they cannot be done, never the dwell itself', async () => {
    const log = new LineLog('19:00', { patient: { species: 'cat', weightKg: 4 } });
    const nudge = post('nudge', '01:00', {
      lines: [log.id],
      asked: asked(log.state(), { dwellWarning: '01:00', flush: '20:00', zero: '19:00' }),
    });
    const { blocks } = await composed(nudge, testWard(), [log.state()]);
    const buttons = buttonsIn(blocks);
    expect(buttons.map(({ action_id: id }) => id?.replace(`:${log.id}`, ''))).toEqual([
      'done',
      'open:remove',
      'open:letgo',
      'earlier',
      'cannot',
    ]);
    const inPart = buttons.filter(({ action_id: id }) => /^(earlier|cannot)/.test(id ?? ''));
    for (const { value } of inPart) expect(value).not.toContain('dwell');
  });
});

describe('a handover', () => {
  const texts = (logs: LineLog[], now: string) => handoverTexts(logs, testWard(), wall(now), { names });

  it('tells two lines of one patient apart in its visits', async () => {
    const left = new LineLog('18:00').inOrder('18:05');
    const right = new LineLog('18:10', { site: 'femoral', side: 'right' }, 'line-2').inOrder('18:15');
    const { first } = await texts([left, right], '18:45');
    expect(first).toContain('☐ Biscuit (R femoral)');
    expect(first).not.toMatch(/☐ Biscuit [^(]/);
  });

  it('begins a patient’s situation with what was found at the site', async () => {
    const log = new LineLog('18:00').add('siteChecked', '18:20', {
      finding: { swelling: true, noPulse: true },
    });
    const { patients } = await texts([log], '18:45');
    expect(patients).toContain('Situation Swelling and no pulse below, seen 18:20. Line in, no open fault.');
  });
});
