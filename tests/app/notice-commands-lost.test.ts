import { describe, expect, it } from 'vitest';
import { type ChatSign, noticeCommandsLost } from '../../src/app/notice-commands-lost.ts';
import type { Beat } from '../../src/app/notice-downtime.ts';
import { type AppOnMemory, appOnMemory, wardId } from '../support/app-on-memory.ts';
import { minute, wall } from '../support/line-builder.ts';

function chatSign(): ChatSign {
  let last: Beat | null = null;
  let told = false;
  return {
    last: async () => last,
    beat: async (now) => {
      last = now;
    },
    wardsNotified: async () => told,
    setWardsNotified: async (is) => {
      told = is;
    },
  };
}

/** A ward with a line at 02:00 whose chat was heard then, looked at by jobs that have long been there. */
async function heardAtTwo() {
  const app = appOnMemory(wall('02:00'));
  const chat = chatSign();
  await app.place();
  const beat = () => chat.beat({ realMs: app.real.now, wardMs: app.clock.now() });
  await beat();
  const look = (sinceMs = 0) => noticeCommandsLost(app.deps, chat, { sinceMs });
  const pass = (ms: number) => {
    app.real.now += ms;
    app.clock.jumpTo(app.clock.now() + ms);
  };
  return { app, chat, beat, look, pass };
}

async function told({ record }: AppOnMemory) {
  const log = await record.readWardLog(wardId);
  return log.flatMap(({ kind, body }) => (kind.startsWith('commands') ? [{ kind, body }] : []));
}

async function noticesOf(app: AppOnMemory): Promise<string[]> {
  const whats: string[] = [];
  for (;;) {
    const taken = await app.record.takePost(wardId, app.real.now);
    if ('againAt' in taken) return whats;
    if (taken.row.post.kind === 'notice') whats.push(taken.row.post.about?.what ?? '');
    await app.record.postDone(wardId, taken.row.post.key, null, true);
    app.real.now += 1_001;
  }
}

// Common practice, no source: what cannot be used says so, and for how long.
describe('a chat that falls silent', () => {
  it('is told to the ward once, from when it was last heard, after two minutes', async () => {
    const { app, look, pass } = await heardAtTwo();
    pass(2 * minute);
    await look();
    expect(await told(app)).toEqual([]);
    pass(30_000);
    await look();
    await look();
    pass(30 * minute);
    await look();
    expect(await told(app)).toEqual([{ kind: 'commandsLost', body: { from: wall('02:00') } }]);
    expect(await noticesOf(app)).toEqual(['commands lost']);
  });

  it('is told to be back once, from when to when it was lost', async () => {
    const { app, beat, look, pass } = await heardAtTwo();
    pass(14 * minute);
    await look();
    pass(6 * minute);
    await beat();
    await look();
    await look();
    expect(await told(app)).toEqual([
      { kind: 'commandsLost', body: { from: wall('02:00') } },
      { kind: 'commandsBack', body: { from: wall('02:00'), to: wall('02:20') } },
    ]);
    expect((await noticesOf(app)).toSorted()).toEqual(['commands back', 'commands lost']);
  });

  it('is given time to start beside jobs that have just begun to listen, and wards stay told meanwhile', async () => {
    const { app, look, pass } = await heardAtTwo();
    pass(60 * minute);
    const began = app.real.now;
    await look(began);
    pass(minute);
    await look(began);
    expect(await told(app)).toEqual([]);
    pass(2 * minute);
    await look(began);
    expect(await told(app)).toEqual([{ kind: 'commandsLost', body: { from: wall('02:00') } }]);
    await look(app.real.now);
    expect(await told(app)).toHaveLength(1);
  });

  it('is told by processes that look at the same time only once', async () => {
    const { app, look, pass } = await heardAtTwo();
    pass(5 * minute);
    await Promise.all([look(), look(), look()]);
    expect(await told(app)).toHaveLength(1);
  });

  it('is nothing to a ward without lines, nor is a chat that was never heard', async () => {
    const app = appOnMemory(wall('02:00'));
    const chat = chatSign();
    await app.place();
    app.real.now += 60 * minute;
    await noticeCommandsLost(app.deps, chat, { sinceMs: 0 });
    expect(await told(app)).toEqual([]);

    const empty = appOnMemory(wall('02:00'));
    await chat.beat({ realMs: empty.real.now, wardMs: wall('02:00') });
    empty.real.now += 60 * minute;
    await noticeCommandsLost(
      { ...empty.deps, record: { ...empty.record, wardIds: async () => [wardId] } },
      chat,
      {
        sinceMs: 0,
      },
    );
    expect(await told(empty)).toEqual([]);
  });

  it('is told at the next look where a ward’s record was away, and every other ward meanwhile', async () => {
    const { app, beat, look, pass, chat } = await heardAtTwo();
    let away = true;
    const record: typeof app.record = {
      ...app.record,
      wardIds: async () => ['T0TEST.C0AWAY', wardId],
      async readWardState(id) {
        if (away && id === wardId) throw new Error('no Redis');
        return app.record.readWardState(id);
      },
    };
    pass(5 * minute);
    await look();
    await beat();
    await noticeCommandsLost({ ...app.deps, record }, chat, { sinceMs: 0 });
    expect(await told(app)).toHaveLength(1);
    away = false;
    await noticeCommandsLost({ ...app.deps, record }, chat, { sinceMs: 0 });
    expect(await told(app)).toHaveLength(2);
  });
});
