import { describe, expect, it } from 'vitest';
import type { DraftResult } from '../../../src/app/decide-drafts.ts';
import { type Outcome, recordOnLines } from '../../../src/app/record-on-lines.ts';
import { outcomeWords } from '../../../src/chat/answers/outcome-words.ts';
import { foldNext } from '../../../src/domain/fold/fold-line.ts';
import type { Entry, EntryDraft } from '../../../src/domain/record/entry.ts';
import { appOnMemory, wardId } from '../../support/app-on-memory.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';
import { names } from '../messages/compose-for-test.ts';

const told = (
  log: LineLog,
  at: string,
  draft: EntryDraft,
  ward = testWard(),
  by = 'nina',
): Promise<string> => {
  const entry = { ...draft, at: wall(at), told: wall(at), by, via: 'button' } as Entry;
  const one: DraftResult = { lineId: log.id, draft, is: 'taken', entry, number: 9 };
  const after = foldNext(log.state(), entry, () => log.entries);
  const outcome: Outcome = { ward, lines: new Map([[log.id, after]]), results: [one], repeat: false };
  return outcomeWords(outcome, names, wall(at));
};
const swelling: EntryDraft = { kind: 'siteChecked', body: { finding: { swelling: true } } };
const soiled: EntryDraft = { kind: 'siteChecked', body: { finding: { soiled: true } } };

describe('what somebody reads who told something', () => {
  it('names the clinician who is told of a finding at once', async () => {
    expect(await told(new LineLog('20:00'), '21:00', swelling)).toContain(
      'swelling, 21:00. Dr Ada Holm, on call, is being told now.',
    );
    expect(await told(new LineLog('20:00'), '21:00', soiled)).not.toContain('is told now');
  });

  it('says to a clinician on call who recorded it themselves what to do with it', async () => {
    expect(await told(new LineLog('20:00'), '21:00', swelling, testWard(), 'vet')).toContain(
      'swelling, 21:00. You’re on call: the direct message you get has “I take it” and “Seen: ask again…”.',
    );
  });

  it('promises nobody whom no direct message reaches', async () => {
    const unreached = [{ user: 'vet', at: wall('20:30') }];
    const words = (policy: Parameters<typeof testWard>[0]) =>
      told(new LineLog('20:00'), '21:00', swelling, { ...testWard(policy), unreached });
    const start = 'Dr Ada Holm, on call, can’t be reached by direct message, so';
    expect(await words({ backup: 'bea' })).toContain(`${start} I’m telling @bea. Call them yourself now.`);
    expect(await words({})).toContain(`${start} I’m telling the ward. Call them yourself now.`);
  });

  it('says to call a clinician where nobody is on call', async () => {
    expect(await told(new LineLog('20:00'), '21:00', swelling, testWard({ rota: {} }))).toContain(
      'Nobody is on call, so I’m telling the ward. Call a clinician yourself now.',
    );
  });

  it('says who did meanwhile what was to be let go, and not that they had let it go', async () => {
    const log = new LineLog('20:00');
    const draft: EntryDraft = {
      kind: 'waived',
      body: { duty: 'flush', dueAt: wall('21:00'), reason: 'sedate first', until: wall('23:00') },
    };
    const one: DraftResult = {
      lineId: log.id,
      draft,
      is: 'already',
      done: { at: wall('21:05'), by: 'teo', entry: 2 },
      at: wall('21:06'),
      isDoublePress: false,
    };
    const lines = new Map([[log.id, log.state()]]);
    const outcome: Outcome = { ward: testWard(), lines, results: [one], repeat: false };
    expect(await outcomeWords(outcome, names, wall('21:06'))).toBe(
      'Nothing recorded for Biscuit (left dorsal pedal): flush was done already 21:05 by @teo.',
    );
  });

  it('says what to try after a test by eye that was not normal, the animal first', async () => {
    const test = (verdict: 'underdamped' | 'overdamped' | 'cannot tell') =>
      told(new LineLog('20:00'), '21:20', { kind: 'fastFlushTested', body: { verdict } });
    for (const [verdict, cause] of [
      ['overdamped', 'kink'],
      ['underdamped', 'bubble'],
    ] as const)
      expect(await test(verdict)).toMatch(
        new RegExp(
          `${verdict}, 21:20\\. First the animal: .* Fits: ${cause}, .* Try first: .* Then test again\\.`,
        ),
      );
    expect(await test('cannot tell')).not.toContain('Fits:');
  });

  it('gives the mean reckoned from the other two only where none was read', async () => {
    const read = (body: { sapMmHg: number; dapMmHg: number; mapMmHg?: number }) =>
      told(new LineLog('20:00'), '21:20', { kind: 'reading', body });
    expect(await read({ sapMmHg: 120, dapMmHg: 81 })).toContain(
      'Pulse pressure 39 mmHg; mean 94 mmHg (reckoned).',
    );
    expect(await read({ sapMmHg: 120, dapMmHg: 81, mapMmHg: 95 })).toContain('Pulse pressure 39 mmHg. ');
  });

  it('gives the limit that a cat’s dwell warning speaks of, and asks for nothing by it', async () => {
    const log = new LineLog('15:00', { patient: { species: 'cat', weightKg: 4 } }).add(
      'siteChecked',
      '21:00',
      {
        finding: {},
      },
    );
    const said = await told(log, '21:20', { kind: 'flushed', body: {} });
    expect(said).toMatch(/ Due now: [^.]*\. Dwell limit 23:00\.$/);
    expect(said).not.toContain('warning');
  });

  it('says until when a claim holds and when a duty put off is asked again', async () => {
    const duties: [['flush', number]] = [['flush', wall('21:00')]];
    const until = wall('21:50');
    const log = new LineLog('20:00');
    expect(await told(log, '21:20', { kind: 'claimed', body: { duties, until } })).toContain(
      'You have it until 21:50; nobody is reminded of it before then.',
    );
    expect(await told(log, '21:20', { kind: 'snoozed', body: { duties, until } })).toContain(
      'I’ll remind you at 21:50.',
    );
  });

  it('names what was struck out or put right by what it says, when it was and whose it is', async () => {
    const app = appOnMemory(wall('20:00'));
    const { id } = await app.place();
    const tell = async (draft: EntryDraft, by = 'nina') => {
      const outcome = await recordOnLines(app.deps, { wardId, by, via: 'form' }, [{ lineId: id, draft }]);
      return outcomeWords(outcome, names, app.clock.now());
    };
    app.clock.jumpTo(wall('21:00'));
    await tell({ kind: 'flushed', body: { volumeMl: 1 } });
    app.clock.jumpTo(wall('21:10'));
    const volume = { target: 2, at: wall('20:55'), body: { volumeMl: 2 } };
    expect(await tell({ kind: 'amended', body: volume }, 'vet')).toMatch(
      /^Put right for Biscuit \(left dorsal pedal\): flushed 2 mL, 20:55, by Nina Vale\. /,
    );
    expect(await tell({ kind: 'amended', body: { target: 2, strike: 'other line' } }, 'vet')).toMatch(
      /^Struck out for Biscuit \(left dorsal pedal\): flushed 2 mL, 20:55, by Nina Vale\. /,
    );
  });
});
