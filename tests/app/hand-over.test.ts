import { describe, expect, it } from 'vitest';
import { acceptHandover, handOver } from '../../src/app/hand-over.ts';
import { recordOnWard } from '../../src/app/record-on-ward.ts';
import { appOnMemory, wardId } from '../support/app-on-memory.ts';
import { wall } from '../support/line-builder.ts';

const by = (user: string) => ({ wardId, by: user, via: 'button' }) as const;

describe('a handover that two people accept at once', () => {
  it('is told to be with the one whose acceptance was written', async () => {
    const app = appOnMemory(wall('18:50'));
    await app.place();
    await handOver(app.deps, by('nina'));
    const [given] = (await app.record.readWardState(wardId)).handovers;
    const forMs = given?.for ?? 0;
    // The other one's acceptance is written after this one has read the ward.
    let meanwhile: (() => Promise<unknown>) | null = () => acceptHandover(app.deps, by('noor'), forMs, 'all');
    const record: typeof app.record = {
      ...app.record,
      async readWard(id) {
        const view = await app.record.readWard(id);
        const other = meanwhile;
        meanwhile = null;
        await other?.();
        return view;
      },
    };
    const mine = await acceptHandover({ ...app.deps, record }, by('nell'), forMs, 'all');
    expect(mine).toEqual({ is: 'accepted before', by: 'noor', at: wall('18:50') });
    expect(await acceptHandover(app.deps, by('noor'), forMs, 'all')).toHaveProperty('is', 'accepted');
    expect(await acceptHandover(app.deps, by('noor'), forMs + 1, 'all')).toEqual({ is: 'an older one' });
  });
});

describe('a handover asked for', () => {
  it('in the very millisecond of another is one of its own', async () => {
    const app = appOnMemory(wall('18:50'));
    await app.place();
    await handOver(app.deps, by('nina'));
    await handOver(app.deps, by('noor'));
    const { handovers } = await app.record.readWardState(wardId);
    expect(handovers.map((one) => one.for)).toEqual([wall('18:50'), wall('18:50') + 1]);
  });
});

describe('an entry about the ward', () => {
  it('is asked again at every attempt whether it is still right', async () => {
    const app = appOnMemory(wall('18:50'));
    const { policy } = await app.record.readWardState(wardId);
    const set = (flushEveryMin: number, record = app.record) =>
      recordOnWard(
        { ...app.deps, record },
        by('nina'),
        { kind: 'policySet', body: { policy: { ...policy, flushEveryMin } } },
        () => [],
        ({ policyVersion }) => policyVersion === 0,
      );
    let first = true;
    const late = await set(90, {
      ...app.record,
      async readWard(id) {
        const view = await app.record.readWard(id);
        if (first) {
          first = false;
          await set(45);
        }
        return view;
      },
    });
    expect(late.is).toBe('not taken');
    expect((await app.record.readWardState(wardId)).policy.flushEveryMin).toBe(45);
  });
});
