import { describe, expect, it } from 'vitest';
import { accept } from '../../../src/domain/accept/accept.ts';
import { foldLine } from '../../../src/domain/fold/fold-line.ts';
import { planWake } from '../../../src/domain/ladder/plan-wake.ts';
import { nurseOf } from '../../../src/domain/ward/on-call.ts';
import { foldWardNext } from '../../../src/domain/ward/ward-state.ts';
import { LineLog, placedBody, testWard, wall } from '../../support/line-builder.ts';

// Common practice, no source: what was made due again is done again, however soon.
describe('done again within a minute', () => {
  const head = {
    at: wall('21:00') + 40_000,
    told: wall('21:00') + 40_000,
    by: 'nina',
    via: 'button',
  } as const;

  it('a flush after an unflushed sample is a new flush', () => {
    const log = new LineLog('20:00')
      .add('flushed', '21:00', {})
      .add('sampled', wall('21:00') + 20_000, { volumeMl: 1, flushed: false });
    expect(
      accept(foldLine('a1', log.entries), testWard(), { kind: 'flushed', body: {} }, head),
    ).toHaveProperty('take');
  });

  it('a zero after the line was moved is a new zero', () => {
    const log = new LineLog('20:00')
      .add('zeroed', '21:00', {})
      .add('disturbed', wall('21:00') + 20_000, { how: 'moved' });
    expect(
      accept(foldLine('a1', log.entries), testWard(), { kind: 'zeroed', body: {} }, head),
    ).toHaveProperty('take');
  });
});

it('a line registered at 19:30 as placed 18:30 is with its nurse, not with who accepted the ward at 19:05', () => {
  const at = wall('19:05');
  const posted = { at, told: at, by: 'bot', via: 'bot' } as const;
  const handed = foldWardNext(testWard(), {
    ...posted,
    kind: 'handedOver',
    body: { for: wall('19:00'), auto: true, lines: 1 },
  });
  const accepted = foldWardNext(handed, {
    ...posted,
    by: 'first',
    kind: 'handoverAccepted',
    body: { for: wall('19:00') },
  });
  const line = foldLine('a1', [
    {
      kind: 'placed',
      body: placedBody({ nurse: 'third' }),
      at: wall('18:30'),
      told: wall('19:30'),
      by: 'third',
      via: 'form',
    },
  ]);
  expect(nurseOf(accepted, line, wall('20:00'))).toBe('third');
});

it('a cat’s dwell warning cried out with nobody on call reaches whoever is put on call after it', () => {
  const nobody = testWard({ rota: {} });
  const cat = { patient: { species: 'cat' as const, weightKg: 4 }, flushMode: 'continuous' as const };
  const warning = wall('02:00');
  const log = new LineLog('20:00', cat)
    .add('nudged', '02:00', { duties: [['dwellWarning', warning]] })
    .add('escalated', '02:00', { duties: [['dwellWarning', warning]], to: 'clinician' });
  const now = wall('02:05');
  const told = { at: now, told: now, by: 'nina', via: 'command' } as const;
  const called = foldWardNext(nobody, { ...told, kind: 'onCallSet', body: { user: 'vet' } });
  const posts = planWake(called, [foldLine('a1', log.entries)], now).posts.filter(
    ({ to }) => to === 'clinician',
  );
  expect(posts.flatMap((post) => ('duties' in post ? post.duties.map(({ kind }) => kind) : []))).toContain(
    'dwellWarning',
  );
});
