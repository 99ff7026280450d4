import { describe, expect, it } from 'vitest';
import { deliverBehind, deliverPosts } from '../../src/app/deliver-posts.ts';
import type { Post } from '../../src/app/ports.ts';
import { recordOnWard } from '../../src/app/record-on-ward.ts';
import { appOnMemory, wardId } from '../support/app-on-memory.ts';
import { wall } from '../support/line-builder.ts';

/** A ward with one line, nina's, whose channel is archived after what was asked for has come. */
async function archived(before: (visit: (key: string) => Post) => Post[]) {
  const app = appOnMemory(wall('02:00'));
  const line = await app.place({ nurse: 'nina' });
  const visit = (key: string): Post => ({
    key,
    kind: 'nudge',
    to: 'ward',
    lines: [line.id],
    asked: [{ lineId: line.id, kind: 'zero', dueAt: wall('02:00') }],
    at: wall('02:00'),
    about: { what: 'visit', user: 'nina' },
  });
  const deps = {
    ...app.deps,
    messenger: { ...app.deps.messenger, lookAtChannel: async () => 'archived' as const },
  };
  const deliver = async () => {
    app.real.now += 60_000;
    await deliverPosts(deps, wardId);
  };
  const ask = (posts: Post[]) => app.record.commit(wardId, { lines: [], wakes: {}, posts });
  await ask(before(visit));
  for (let times = 0; times < 3; times++) await deliver();
  await recordOnWard(
    deps,
    { wardId, by: 'bot', via: 'bot' },
    { kind: 'channelShut', body: { why: 'archived' } },
  );
  return { app, deps, visit, ask, deliver };
}

describe('a visit that was asked for before anybody knew that the channel is shut', () => {
  it('goes to its nurse, though an older one that stands there waits to be changed', async () => {
    const { app, visit, ask, deliver } = await archived((visit) => [visit('1.nudge.a')]);
    await ask([visit('1.nudge.b')]);
    await deliver();
    await deliver();
    const told = app.sent.filter(({ post }) => post.to !== 'ward').map(({ post }) => [post.key, post.to]);
    expect(told).toEqual([['1.nudge.b.to.nina', { user: 'nina' }]]);
  });

  it('goes to its nurse once and is looked for in the channel afterwards, where it may stand there', async () => {
    const { app, deps, visit, ask, deliver } = await archived(() => []);
    await ask([visit('1.nudge.b')]);
    await app.record.postTrying(wardId, '1.nudge.b', app.real.now);
    for (let times = 0; times < 3; times++) await deliver();
    const told = () =>
      app.sent.filter(({ post }) => post.kind === 'nudge').map(({ post, how }) => [post.key, how]);
    expect(told()).toEqual([['1.nudge.b.to.nina', 'sent']]);
    await recordOnWard(deps, { wardId, by: 'bot', via: 'bot' }, { kind: 'channelOpened', body: {} });
    app.found.answer = { place: 'C0WARD', id: 'm9', others: ['m8'] };
    await deliver();
    await deliver();
    expect(app.takenAway).toEqual(['m8']);
    expect((await app.record.readPost(wardId, '1.nudge.b'))?.sent?.id).toBe('m9');
  });

  it('isn’t taken for told where nobody uses the nurse’s account, though the platform takes the message', async () => {
    const { app, visit, ask, deliver } = await archived(() => []);
    app.reader.is = 'reads nothing';
    await ask([visit('1.nudge.b')]);
    await deliver();
    await deliver();
    expect(app.sent.filter(({ post }) => post.to !== 'ward')).toEqual([]);
    const { unreached } = await app.record.readWardState(wardId);
    expect(unreached.map(({ user }) => user)).toEqual(['nina']);
  });
});

describe('a handover and its file that wait for a shut channel', () => {
  it('are each taken up once, and neither calls for itself or the other again', async () => {
    const { app, deps, visit, ask } = await archived(() => []);
    await ask([
      { ...visit('4.handover.x.000'), kind: 'handover', asked: [], about: { what: 'page', page: 1 } },
      { ...visit('7.handover.x.700'), kind: 'handover', asked: [], about: { what: 'paper' } },
    ]);
    const calls: string[] = [];
    const behindAlarm = {
      ...deps,
      alarm: { ...deps.alarm, postsWaiting: async () => void calls.push('alarm') },
      behind: {
        calendars: { ask: () => undefined, has: () => false, stop: () => undefined },
        handovers: { ask: () => void calls.push('handovers'), has: () => false, stop: () => undefined },
        files: { ask: () => void calls.push('files'), has: () => false, stop: () => undefined },
      },
    };
    for (const part of ['handovers', 'files'] as const)
      expect(await deliverBehind(behindAlarm, wardId, part)).toEqual({ goesOn: false });
    expect(calls).toEqual([]);
    expect(app.sent.filter(({ post }) => post.kind === 'handover')).toEqual([]);
  });
});
