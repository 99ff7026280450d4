import { describe, expect, it } from 'vitest';
import { ownLines } from '../../../src/domain/ward/mine.ts';
import { anybodyDecides, awaitsTakeover, isOnCall } from '../../../src/domain/ward/on-call.ts';
import type { WardDraft, WardEntry } from '../../../src/domain/ward/ward-entry.ts';
import { foldWardNext, type WardState } from '../../../src/domain/ward/ward-state.ts';
import { clock, LineLog, testWard, wall } from '../../support/line-builder.ts';

const entry = (at: string, draft: WardDraft, by = 'nina'): WardEntry =>
  ({ at: wall(at), told: wall(at), by, via: 'form', ...draft }) as WardEntry;
const line = (id: string, flushedAt: string, nurse = 'nina', name = id) =>
  new LineLog('20:00', { nurse, patient: { name } }, id)
    .inOrder('20:05')
    .add('siteChecked', '22:00', { finding: {} })
    .add('flushed', flushedAt, {});

describe('what is somebody’s to do', () => {
  const mine = (lines: LineLog[], user = 'nina', at = '23:00', ward: WardState = testWard()) =>
    ownLines(
      ward,
      lines.map((log) => log.state()),
      user,
      wall(at),
    );

  it('is what is due or due within a round’s 10 min, and what comes next', () => {
    const [one] = mine([line('a', '22:10')]);
    expect(one?.now.map(({ kind, dueAt }) => `${kind} ${clock(dueAt)}`)).toEqual(['flush 23:10']);
    expect(one?.next).toMatchObject({ kind: 'site', dueAt: wall('02:00') });
    const [later] = mine([line('a', '22:11')]);
    expect(later?.now).toEqual([]);
    expect(later?.next).toMatchObject({ kind: 'flush', dueAt: wall('23:11') });
  });

  it('is theirs alone, and that of whoever they cover for', () => {
    const lines = [line('a', '22:10'), line('b', '22:10', 'teo')];
    const ids = (user: string, ward?: WardState) =>
      mine(lines, user, '23:00', ward).map((own) => own.line.id);
    expect(ids('nina')).toEqual(['a']);
    expect(ids('teo')).toEqual(['b']);
    expect(ids('olga')).toEqual([]);
    const body = { away: 'teo', by: 'nina', until: wall('23:30') };
    const covered = foldWardNext(testWard(), entry('22:30', { kind: 'coverSet', body }));
    expect(ids('nina', covered)).toEqual(['a', 'b']);
  });

  it('begins with what is due longest, then what comes first; of one minute by name', () => {
    const lines = [
      line('later', '22:40'),
      line('soon', '22:08'),
      line('late', '21:30'),
      line('b', '22:20', 'nina', 'Moss'),
      line('c', '22:20', 'nina', 'Ash'),
    ];
    expect(mine(lines).map((own) => own.line.id)).toEqual(['late', 'soon', 'c', 'b', 'later']);
  });

  it('holds no line to which nothing is owed', () => {
    expect(mine([line('a', '22:10').add('removed', '22:30', { reason: 'death' })])).toEqual([]);
  });
});

describe('who may decide', () => {
  it('is somebody where anybody is on call or a clinician of the policy', () => {
    const now = wall('23:00');
    expect(anybodyDecides(testWard(), now)).toBe(true);
    expect(anybodyDecides(testWard({ rota: {} }), now)).toBe(false);
    expect(anybodyDecides(testWard({ rota: {}, clinicians: ['cleo'] }), now)).toBe(true);
  });

  it('is whoever is on call, and whoever would be were they not covered', () => {
    const body = { away: 'vet', by: 'mika', until: wall('23:30') };
    const covered = foldWardNext(testWard(), entry('22:30', { kind: 'coverSet', body }));
    const onCall = (user: string, ward = covered) => isOnCall(ward, user, wall('23:00'));
    expect([onCall('vet'), onCall('mika'), onCall('nina')]).toEqual([true, true, false]);
    expect(onCall('vet', testWard({ rota: {} }))).toBe(false);
  });
});

// 30 min to accept: the ward policy’s default; common practice, no source.
describe('a shift that has not been taken over', () => {
  const start = wall('19:00');
  const posted = entry('18:45', { kind: 'handedOver', body: { for: start, auto: true, lines: 1 } });
  const accepted = entry('19:05', { kind: 'handoverAccepted', body: { for: start } }, 'noa');
  const placed = () => new LineLog('2026-11-24 10:00');
  const awaits = (log: LineLog, now: string, ...entries: WardEntry[]) =>
    awaitsTakeover(entries.reduce(foldWardNext, testWard()), log.state(), wall(now));

  it('waits until its handover is accepted, for half an hour', () => {
    expect(awaits(placed(), '19:00', posted)).toBe(true);
    expect(awaits(placed(), '19:29', posted)).toBe(true);
    expect(awaits(placed(), '19:30', posted)).toBe(false);
    expect(awaits(placed(), '19:10', posted, accepted)).toBe(false);
  });

  it('does not wait before it begins, nor where no handover to it was posted', () => {
    expect(awaits(placed(), '18:50', posted)).toBe(false);
    expect(awaits(placed(), '19:10')).toBe(false);
    const older = entry('06:45', {
      kind: 'handedOver',
      body: { for: wall('2026-11-24 07:00'), auto: true, lines: 1 },
    });
    expect(awaits(placed(), '19:10', older)).toBe(false);
  });

  it('has what was placed in it, or given to somebody at once or for it', () => {
    expect(awaits(new LineLog('19:00'), '19:10', posted)).toBe(false);
    expect(awaits(placed().add('assigned', '19:02', { nurse: 'teo' }), '19:10', posted)).toBe(false);
    expect(awaits(placed().add('assigned', '18:50', { nurse: 'teo' }), '19:10', posted)).toBe(true);
    const planned = (from: string) => placed().add('assigned', '18:30', { nurse: 'teo', from: wall(from) });
    expect(awaits(planned('19:00'), '19:10', posted)).toBe(false);
    expect(awaits(planned('2026-11-25 07:00'), '19:10', posted)).toBe(true);
  });

  it('has a patient that somebody has off the ward', () => {
    const away = (who?: string) =>
      placed().add('leftWard', '18:50', { to: 'theatre', ...(who === undefined ? {} : { with: who }) });
    expect(awaits(away('ana'), '19:10', posted)).toBe(false);
    expect(awaits(away(), '19:10', posted)).toBe(true);
  });
});
