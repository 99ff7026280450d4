import { describe, expect, it } from 'vitest';
import {
  type Beat,
  type Heartbeat,
  noticeDowntime,
  stayAlive,
  type WardToNotify,
} from '../../src/app/notice-downtime.ts';
import { appOnMemory, wardId } from '../support/app-on-memory.ts';
import { minute, wall } from '../support/line-builder.ts';

function heartbeat(): Heartbeat {
  let last: Beat | null = null;
  let waiting: readonly WardToNotify[] = [];
  return {
    last: async () => last,
    unnotified: async () => [...waiting],
    async beat(now, untold) {
      last = now;
      waiting = untold ?? waiting;
    },
  };
}

async function silentFor(realMs: number) {
  const app = appOnMemory(wall('02:00'));
  const heart = heartbeat();
  await app.place();
  await noticeDowntime(app.deps, heart);
  app.real.now += realMs;
  app.clock.jumpTo(wall('02:00') + 65 * minute);
  await noticeDowntime(app.deps, heart);
  const log = await app.record.readWardLog(wardId);
  const taken = await app.record.takePost(wardId, app.real.now);
  return { log, post: 'row' in taken ? taken.row.post : null, app, heart };
}

// Common practice, no source: a reminder that failed says so.
describe('after the jobs were silent', () => {
  it('writes from when to when and how much came due, 02:00 to 03:05 with the flush of 03:00', async () => {
    const { log } = await silentFor(65 * minute);
    const down = log.find(({ kind }) => kind === 'wasDown');
    expect(down?.body).toEqual({ from: wall('02:00'), to: wall('03:05'), missed: 1 });
  });

  it('asks for a notice in the ward that names what came due meanwhile', async () => {
    const { post } = await silentFor(65 * minute);
    expect(post).toMatchObject({ kind: 'notice', to: 'ward', about: { what: 'was down' } });
    expect(post?.asked.map(({ kind }) => kind)).toEqual(['flush']);
  });

  it('tells it once, however many processes begin again', async () => {
    const { app, heart } = await silentFor(65 * minute);
    await noticeDowntime(app.deps, heart);
    const log = await app.record.readWardLog(wardId);
    expect(log.filter(({ kind }) => kind === 'wasDown')).toHaveLength(1);
  });

  it('tells it at the next sweep where the record was away, and every other ward meanwhile', async () => {
    const app = appOnMemory(wall('02:00'));
    const heart = heartbeat();
    await app.place();
    await noticeDowntime(app.deps, heart);
    app.real.now += 65 * minute;
    app.clock.jumpTo(wall('03:05'));
    let away = true;
    const record: typeof app.record = {
      ...app.record,
      wardIds: async () => ['T0TEST.C0AWAY', wardId],
      async readWard(id) {
        if (away && id !== wardId) throw new Error('no Redis');
        return app.record.readWard(id);
      },
    };
    const downs = async (id: string) =>
      (await app.record.readWardLog(id)).filter(({ kind }) => kind === 'wasDown').length;
    await noticeDowntime({ ...app.deps, record }, heart);
    expect(await downs(wardId)).toBe(1);
    expect(await heart.unnotified()).toMatchObject([
      { wardId: 'T0TEST.C0AWAY', from: wall('02:00'), to: wall('03:05') },
    ]);
    // Another outage is told to the ward that can be told, and the first one's end stays what it was.
    app.real.now += 10 * minute;
    app.clock.jumpTo(wall('03:15'));
    await noticeDowntime({ ...app.deps, record }, heart);
    expect(await downs(wardId)).toBe(2);
    expect((await heart.unnotified()).map(({ to }) => to)).toEqual([wall('03:05'), wall('03:15')]);
    away = false;
    app.real.now += 30_000;
    await noticeDowntime({ ...app.deps, record }, heart);
    expect(await downs(wardId)).toBe(2);
    expect(await heart.unnotified()).toEqual([]);
  });

  it('says nothing of a silence of 90 s, three sweeps', async () => {
    const { log } = await silentFor(90_000);
    expect(log.filter(({ kind }) => kind === 'wasDown')).toEqual([]);
  });
});

describe('jobs whose sweep takes long', () => {
  it('stay alive between two sweeps, and are not told to have been down', async () => {
    const app = appOnMemory(wall('02:00'));
    const heart = heartbeat();
    await app.place();
    await noticeDowntime(app.deps, heart);
    for (let beats = 0; beats < 30; beats++) {
      app.real.now += 10_000;
      await stayAlive(app.deps, heart);
    }
    await noticeDowntime(app.deps, heart);
    expect((await app.record.readWardLog(wardId)).map(({ kind }) => kind)).not.toContain('wasDown');
  });

  it('take back no silence: who was not reminded in it is told before the next sign of life', async () => {
    const app = appOnMemory(wall('02:00'));
    const heart = heartbeat();
    await app.place();
    await noticeDowntime(app.deps, heart);
    const before = await heart.last();
    app.real.now += 65 * minute;
    app.clock.jumpTo(wall('03:05'));
    await stayAlive(app.deps, heart);
    expect(await heart.last()).toEqual(before);
    await noticeDowntime(app.deps, heart);
    expect((await app.record.readWardLog(wardId)).map(({ kind }) => kind)).toContain('wasDown');
  });

  it('leave those still to be told as they are, and count from the end of a long telling', async () => {
    const app = appOnMemory(wall('02:00'));
    const heart = heartbeat();
    const other = 'T0TEST.C0AWAY';
    await app.place();
    await noticeDowntime(app.deps, heart);
    app.real.now += 65 * minute;
    app.clock.jumpTo(wall('03:05'));
    const record: typeof app.record = {
      ...app.record,
      wardIds: async () => [other, wardId],
      async readWard(id) {
        // Ten thousand wards take longer to tell than a silence may last.
        app.real.now += 3 * minute;
        if (id === other) throw new Error('no Redis');
        return app.record.readWard(id);
      },
    };
    await noticeDowntime({ ...app.deps, record }, heart);
    app.real.now += 10_000;
    await stayAlive(app.deps, heart);
    expect(await heart.last()).toMatchObject({ realMs: app.real.now });
    expect((await heart.unnotified()).map((one) => one.wardId)).toEqual([other]);
  });
});
