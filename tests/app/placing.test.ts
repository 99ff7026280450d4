import { describe, expect, it } from 'vitest';
import { placeLine } from '../../src/app/place-line.ts';
import { recordFailedTries, strikeFailedTries } from '../../src/app/record-failed-tries.ts';
import { recordOnLines } from '../../src/app/record-on-lines.ts';
import { recordOnWard } from '../../src/app/record-on-ward.ts';
import type { FailedTries } from '../../src/domain/placing/failed-tries.ts';
import type { Screening } from '../../src/domain/placing/screening.ts';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import { fhirBundle } from '../../src/export/fhir-bundle.ts';
import { appOnMemory, wardId } from '../support/app-on-memory.ts';
import { hour, minute, placedBody, wall, wardZone } from '../support/line-builder.ts';

const now = wall('21:00');

describe('placing a line that was screened', () => {
  const placed = async (screening: Screening) => {
    const app = appOnMemory(now);
    const result = await placeLine(app.deps, { wardId, by: 'nina', via: 'form' }, placedBody({ screening }));
    const { lines } = await app.record.readWard(wardId);
    return { is: result.is, refusal: 'refusal' in result ? result.refusal : null, lines: lines.length };
  };

  it('is refused without the clinician’s decision that the ward wants, or by one who may not decide, and writes nothing', async () => {
    const refused = { is: 'refused', refusal: { because: 'clinician only' }, lines: 0 };
    expect(await placed({ cautions: ['bleeding disorder'] })).toEqual(refused);
    const override = { clinician: 'nina', at: now, reason: 'no other artery' };
    expect(await placed({ cautions: ['bleeding disorder'], override })).toEqual(refused);
    expect(await placed({ cautions: [], override })).toEqual(refused);
  });

  it.each([
    ['nina', 1],
    ['vera', 0],
  ])('by a decision of Vera’s, told by %s, is told to her in %i messages', async (by, messages) => {
    const app = appOnMemory(now);
    const intent = { wardId, by, via: 'form' } as const;
    await recordOnWard(app.deps, intent, { kind: 'onCallSet', body: { user: 'vera' } });
    const override = { clinician: 'vera', at: now, reason: 'no other artery' };
    const screening = { cautions: ['bleeding disorder' as const], override };
    const result = await placeLine(app.deps, intent, placedBody({ screening }));
    const id = 'line' in result ? result.line.id : '';
    const post = await app.record.readPost(wardId, `1.decided.${id}`);
    expect(post === null ? [] : [post.post.to]).toEqual(messages === 0 ? [] : [{ user: 'vera' }]);
  });

  it('needs no decision where the ward wants none', async () => {
    expect(await placed({ cautions: ['cat', 'walking patient'] })).toMatchObject({ is: 'placed', lines: 1 });
  });
});

describe('recording tries that came to no line', () => {
  const tries: FailedTries = {
    patient: { name: 'Biscuit', species: 'dog' },
    site: 'dorsal pedal',
    side: 'left',
    operator: 'noor',
    tries: 2,
  };
  const begin = () => {
    const app = appOnMemory(now);
    const tell = (more: { at?: number; once?: string } = {}) =>
      recordFailedTries(app.deps, { wardId, by: 'nina', via: 'form', ...more }, tries);
    const told = async () => (await app.record.readCopy(wardId))?.wardEntries ?? [];
    const later = (byMs: number) => app.clock.jumpTo(app.clock.now() + byMs);
    const strike = (by: string, once: string) =>
      strikeFailedTries(app.deps, { wardId, by, via: 'button', once }, 1);
    return { tell, told, later, strike };
  };

  it('writes them once for one press or form, however often it is sent, and once for two within a minute', async () => {
    const { tell, told, later } = begin();
    expect(await tell({ once: 'v.1' })).toHaveProperty('is', 'taken');
    expect(await tell({ once: 'v.1' })).toMatchObject({ is: 'already', first: { by: 'nina', number: 1 } });
    later(minute);
    expect(await tell({ once: 'v.2' })).toHaveProperty('is', 'already');
    later(1_000);
    expect(await tell({ once: 'v.1' })).toHaveProperty('is', 'repeat');
    expect(await told()).toHaveLength(1);
    expect(await tell({ once: 'v.2' })).toHaveProperty('is', 'taken');
    expect(await told()).toHaveLength(2);
  });

  it.each([
    ['24 h late', now - 24 * hour, 'taken'],
    ['more than 24 h late', now - 24 * hour - minute, 'refused'],
    ['2 minutes ahead of the ward’s clock', now + 2 * minute, 'taken'],
    ['3 minutes ahead of it', now + 3 * minute, 'refused'],
  ])('%s', async (_, at, is) => {
    const { tell, told } = begin();
    expect(await tell({ at })).toHaveProperty('is', is);
    expect((await told()).map((entry) => [entry.at, entry.told])).toEqual(is === 'taken' ? [[at, now]] : []);
  });

  it('are struck once, of two who do it at the same moment', async () => {
    const { tell, told, strike } = begin();
    await tell({ once: 'v.1' });
    const struck = await Promise.all([strike('nina', 'a.1'), strike('teo', 'a.2')]);
    expect(struck.filter(Boolean)).toHaveLength(1);
    expect(await told()).toHaveLength(2);
    expect(await strike('teo', 'a.3')).toBe(false);
  });
});

describe('whose tries that came to no line are', () => {
  const tries: FailedTries = {
    patient: { name: 'Biscuit', species: 'dog' },
    site: 'radial',
    side: 'left',
    operator: 'noor',
    tries: 2,
  };
  const by = { wardId, by: 'nina', via: 'form' } as const;
  const animals = async (app: ReturnType<typeof appOnMemory>) => {
    const copy = await app.record.readCopy(wardId);
    if (!copy) throw new Error('something was told');
    const bundle = fhirBundle(copy, defaultPolicy(wardZone), now);
    const told = copy.wardEntries.flatMap((entry) =>
      entry.kind === 'triesFailed' ? [entry.body.animal] : [],
    );
    const patients = (bundle.entry ?? []).filter(({ resource }) => resource?.resourceType === 'Patient');
    return {
      told,
      placed: copy.lines.map(({ entries: [first] }) =>
        first?.kind === 'placed' ? first.body.animal : undefined,
      ),
      patients: patients.length,
    };
  };

  it('is the animal’s that is here, and of tries before a line the line’s that comes after', async () => {
    const app = appOnMemory(now);
    await recordFailedTries(app.deps, by, tries);
    await recordFailedTries(app.deps, by, { ...tries, side: 'right' });
    await placeLine(app.deps, by, placedBody());
    await recordFailedTries(app.deps, { ...by, at: now }, { ...tries, tries: 3 });
    const { told, placed, patients } = await animals(app);
    expect(new Set([...told, ...placed])).toEqual(new Set([told[0]]));
    expect(told).toHaveLength(3);
    expect(patients).toBe(1);
  });

  it('stays the animal’s where its name is put right afterwards, and is another’s of another species', async () => {
    const app = appOnMemory(now);
    const placed = await placeLine(app.deps, by, placedBody());
    const id = 'line' in placed ? placed.line.id : '';
    await recordFailedTries(app.deps, by, tries);
    await recordFailedTries(app.deps, by, { ...tries, patient: { name: 'Biscuit', species: 'cat' } });
    const patient = { ...placedBody().patient, name: 'Brisket' };
    await recordOnLines(app.deps, by, [
      { lineId: id, draft: { kind: 'amended', body: { target: 1, body: { patient } } } },
    ]);
    const { told, patients } = await animals(app);
    expect(told[0]).toBe(id);
    expect(told[1]).not.toBe(id);
    expect(patients).toBe(2);
  });
});
