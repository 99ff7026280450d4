import { describe, expect, it } from 'vitest';
import { deepRota } from '../../src/app/deep-rota.ts';
import { type Sweep, sweepWards } from '../../src/app/sweep-wards.ts';
import { appOnMemory, wardId } from '../support/app-on-memory.ts';
import { minute, wall } from '../support/line-builder.ts';

/** So many wards, of which only the first has a line; what is asked of the record is noted. */
async function manyWards(count: number) {
  const app = appOnMemory(wall('02:00'));
  await app.place();
  const asked: string[] = [];
  const read: string[] = [];
  const set: string[] = [];
  let now = 0;
  let most = 0;
  const one = async <T>(work: () => Promise<T>): Promise<T> => {
    most = Math.max(most, ++now);
    await new Promise((resolve) => setTimeout(resolve, 1));
    now--;
    return work();
  };
  const others = Array.from({ length: count - 1 }, (_, ward) => `T0TEST.C${ward}`);
  const record: typeof app.record = {
    ...app.record,
    wardIds: async () => [...others, wardId],
    nextWake: (ward) => {
      asked.push(ward);
      return one(() => app.record.nextWake(ward));
    },
    readWard: (ward) => {
      read.push(ward);
      return one(() => app.record.readWard(ward));
    },
  };
  const alarm = {
    ...app.deps.alarm,
    wakeAt: async (ward: string, atMs: number) => void set.push(`${ward} ${atMs}`),
  };
  return { app, asked, read, set, deps: { ...app.deps, record, alarm }, most: () => most };
}

describe('a sweep of many wards', () => {
  it('looks at 50 together, and at each once', async () => {
    const { deps, asked, most } = await manyWards(200);
    let progress = 0;
    await sweepWards(deps, { deep: false, progress: () => void progress++ });
    expect(new Set(asked).size).toBe(200);
    expect(asked).toHaveLength(200);
    expect(most()).toBe(50);
    expect(progress).toBe(200);
  });

  it('tells what is past due anywhere before it checks any index', async () => {
    const { app, deps, read } = await manyWards(120);
    app.clock.jumpTo(wall('03:05'));
    let toldWhen = -1;
    const told = { ...deps.watch, notified: () => void (toldWhen = read.length) };
    await sweepWards({ ...deps, watch: told }, { deep: true });
    // Only the ward that is past due was read so far.
    expect(toldWhen).toBe(1);
    expect(read).toHaveLength(121);
  });

  it('leaves a wake-up that is far ahead to a later sweep, and sets one that is near', async () => {
    const { app, deps, set } = await manyWards(3);
    const next = (await app.record.nextWake(wardId))!;
    const far: Sweep = { deep: false, setAheadMs: next - app.clock.now() - 1 };
    await sweepWards(deps, far);
    expect(set).toEqual([]);
    app.clock.jumpTo(app.clock.now() + 1);
    await sweepWards(deps, far);
    expect(set).toEqual([`${wardId} ${next}`]);
    await sweepWards(deps, { deep: false });
    expect(set).toHaveLength(2);
  });

  it('puts right what an index lost, and sets its wake-up', async () => {
    const { app, deps, set } = await manyWards(3);
    const next = await app.record.nextWake(wardId);
    await app.record.repairWakes(wardId, {});
    await sweepWards(deps, { deep: true });
    expect(app.repaired).toHaveLength(1);
    expect(set).toEqual([`${wardId} ${next}`]);
    expect(next).toBeLessThanOrEqual(wall('02:00') + 60 * minute);
  });
});

describe('wards checked in depth', () => {
  const wardIds = Array.from({ length: 1_000 }, (_, ward) => `T0TEST.C${ward}`);
  const shareOf = (index: number, of: number) => async () => ({ index, of });

  it('are all at a start, then so many a sweep, each in its turn', async () => {
    const rota = deepRota(shareOf(0, 1), 300);
    expect(await rota(wardIds)).toEqual(wardIds);
    const rounds = [await rota(wardIds), await rota(wardIds), await rota(wardIds), await rota(wardIds)];
    expect(rounds.map((round) => round.length)).toEqual([300, 300, 300, 300]);
    expect(new Set(rounds.flat())).toEqual(new Set(wardIds));
    // Round the end and on: no ward is checked twice before every other was.
    expect(new Set(rounds.slice(0, 3).flat()).size).toBe(900);
    // Few wards are checked at every sweep.
    expect(new Set(await deepRota(shareOf(0, 1))(wardIds.slice(0, 5)))).toEqual(new Set(wardIds.slice(0, 5)));
  });

  it('are shared by the processes that sweep: each ward falls to one of them, and to about as many each', async () => {
    const shares = await Promise.all(
      [0, 1, 2].map(async (index) => {
        const rota = deepRota(shareOf(index, 3), 1_000);
        await rota(wardIds);
        return rota(wardIds);
      }),
    );
    expect(shares.flat().toSorted()).toEqual(wardIds.toSorted());
    for (const share of shares) expect(share.length).toBeGreaterThan(200);
  });
});
