import { describe, expect, it } from 'vitest';
import { deliverPosts } from '../../src/app/deliver-posts.ts';
import { lookAtReader } from '../../src/app/look-at-reader.ts';
import type { Composed, Post } from '../../src/app/ports.ts';
import { appOnMemory, wardId } from '../support/app-on-memory.ts';
import { minute, wall } from '../support/line-builder.ts';

const at = wall('03:20');
const call: Post = {
  key: '0.clinician.x.vet',
  kind: 'escalation',
  to: { user: 'vet' },
  lines: [],
  asked: [],
  at,
};
const composed: Composed = { message: '', hash: 'one', settled: false };

describe('a call to one person', () => {
  /** A ward whose clinician is called. */
  const called = async () => {
    const app = appOnMemory(at);
    await app.record.commit(wardId, { lines: [], wakes: {}, posts: [call] });
    return {
      app,
      deliver: () => deliverPosts(app.deps, wardId),
      isToldNobody: async () => {
        const ward = await app.record.readWardState(wardId);
        return ward.unreached.some(({ user }) => user === 'vet');
      },
    };
  };

  it('isn’t sent to an account that nobody uses; the ward hears so', async () => {
    const { app, deliver, isToldNobody } = await called();
    app.reader.is = 'reads nothing';
    await deliver();
    expect(app.sent.map(({ post }) => post.about?.what)).toEqual(['unreached']);
    expect(await isToldNobody()).toBe(true);
  });

  it('that was sent while nobody could look the account up counts as told to nobody once it turns out closed', async () => {
    const { app, deliver, isToldNobody } = await called();
    app.reader.is = 'unknown';
    await deliver();
    app.real.now += minute;
    await deliver();
    expect(app.sent.map(({ post }) => post.key)).toEqual([call.key]);
    expect(await isToldNobody()).toBe(false);
    app.reader.is = 'reads nothing';
    app.real.now += minute;
    await deliver();
    expect(await isToldNobody()).toBe(true);
    expect(app.sent.map(({ post }) => post.about?.what)).toEqual([undefined, 'unreached']);
    // It stands, so it's kept up to date: whoever is let back in must not read what was done long ago.
    expect((await app.record.readPost(wardId, call.key))?.sent?.id).toBe('m1');
  });

  it('that’s found after a send nobody heard the end of counts as told to nobody where the account is closed', async () => {
    const { app, deliver, isToldNobody } = await called();
    app.reader.is = 'unknown';
    app.outcomes.push({ is: 'unclear', why: 'timed out' });
    await deliver();
    app.found.answer = { place: 'D0VET', id: 'm7' };
    app.reader.is = 'reads nothing';
    app.real.now += minute;
    await deliver();
    expect(await isToldNobody()).toBe(true);
    expect(app.sent.map(({ post, how }) => [post.about?.what, how])).toEqual([
      [undefined, 'updated'],
      ['unreached', 'sent'],
    ]);
  });

  it('is looked up no more once the account is known', async () => {
    const { app, deliver } = await called();
    app.reader.is = 'unknown';
    await deliver();
    app.reader.is = 'reads';
    app.real.now += minute;
    await deliver();
    expect((await app.record.readPost(wardId, call.key))?.sent?.hash).not.toMatch(/^2\|/);
    app.reader.is = 'reads nothing';
    app.real.now += minute;
    await deliver();
    expect(app.sent).toHaveLength(1);
  });
});

describe('the look at who reads a call', () => {
  const look = (post: Post, changes: Partial<Composed>, now = at) => {
    const { deps, reader, clock } = appOnMemory(now);
    reader.is = 'unknown';
    return lookAtReader({ ...deps, clock }, wardId, post, { ...composed, ...changes });
  };

  it('doesn’t believe that somebody whom nothing reached lately is back, where the platform doesn’t tell', async () => {
    expect(await look(call, {})).toBe('unknown');
    expect(await look(call, { wasUnreached: true })).toBe('reads nothing');
  });

  it('isn’t needed for what asks for nothing any more, for other messages, or an hour after the call', async () => {
    expect(await look(call, { settled: true })).toBe('reads');
    expect(await look(call, { superseded: true })).toBe('reads');
    expect(await look({ ...call, kind: 'notice' }, {})).toBe('reads');
    expect(await look({ ...call, to: 'ward' }, {})).toBe('reads');
    expect(await look(call, {}, at + 61 * minute)).toBe('reads');
  });
});
