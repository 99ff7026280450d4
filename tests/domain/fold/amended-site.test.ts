import { expect, it } from 'vitest';
import { foldLine } from '../../../src/domain/fold/fold-line.ts';
import type { Entry } from '../../../src/domain/record/entry.ts';
import { placedBody, wall } from '../../support/line-builder.ts';

it('drops the side when a placing in the left dorsal pedal is put right to the tail, which has none', () => {
  const head = { at: wall('20:00'), told: wall('20:00'), by: 'nina', via: 'form' } as const;
  const log: Entry[] = [
    { ...head, kind: 'placed', body: placedBody() },
    { ...head, kind: 'amended', body: { target: 1, body: { site: 'median caudal' } } },
  ];
  const { site, side } = foldLine('a1', log);
  expect({ site, side }).toEqual({ site: 'median caudal', side: null });
});
