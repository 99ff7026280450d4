import { describe, expect, it } from 'vitest';
import { deliverPosts } from '../../src/app/deliver-posts.ts';
import { noticePost } from '../../src/app/notice-post.ts';
import type { Messenger, Post } from '../../src/app/ports.ts';
import { heldBack } from '../../src/slack/rate-hold.ts';
import { type AppOnMemory, appOnMemory, wardId } from '../support/app-on-memory.ts';
import { wall } from '../support/line-builder.ts';

/** The memory’s messenger, held back, and what the platform was asked. */
function held(app: AppOnMemory) {
  const asked: string[] = [];
  const inner: Messenger = {
    ...app.deps.messenger,
    send: (ward, post, composed) => {
      asked.push(`send ${post.key}`);
      return app.deps.messenger.send(ward, post, composed);
    },
    update: (ward, post, sent, composed) => {
      asked.push(`update ${post.key}`);
      return app.deps.messenger.update(ward, post, sent, composed);
    },
  };
  const messenger = heldBack(inner, () => app.real.now);
  return { asked, messenger, deliver: () => deliverPosts({ ...app.deps, messenger }, wardId) };
}

const notice = (key: string): Post => noticePost(key, 'ward', wall('02:00'), { what: 'unknown' });
const commit = (app: AppOnMemory, posts: Post[]) =>
  app.record.commit(wardId, { lines: [], wakes: {}, posts });

describe('a platform that asks to wait', () => {
  // Source: the rate-limit page at docs.slack.dev: limits are per method and workspace; Retry-After says for how long.
  it('is asked for no message at all until then, also of other wards, and then for the gravest first', async () => {
    const app = appOnMemory(wall('02:00'));
    const { asked, messenger, deliver } = held(app);
    await commit(app, [notice('5.first')]);
    app.outcomes.push({ is: 'wait', ms: 30_000 });
    await deliver();
    expect(asked).toEqual(['send 5.first']);
    await commit(app, [notice('0.danger')]);
    app.real.now += 20_000;
    await deliver();
    expect(asked).toHaveLength(1);
    const composed = { message: null, hash: '', settled: true };
    expect(await messenger.send('T0TEST.C0OTHER', notice('0.other'), composed)).toEqual({
      is: 'wait',
      ms: 10_000,
    });
    app.real.now += 10_000;
    await deliver();
    app.real.now += 1_001;
    await deliver();
    expect(asked.slice(1)).toEqual(['send 0.danger', 'send 5.first']);
  });

  it('for messages still takes updates, and the other way round', async () => {
    const app = appOnMemory(wall('02:00'));
    const { messenger } = held(app);
    const composed = { message: null, hash: '', settled: true };
    app.outcomes.push({ is: 'wait', ms: 30_000 });
    await messenger.send(wardId, notice('5.a'), composed);
    const update = () => messenger.update(wardId, notice('5.a'), { place: 'C', id: '1' }, composed);
    expect((await update()).is).toBe('sent');
    app.outcomes.push({ is: 'wait', ms: 60_000 });
    await update();
    app.real.now += 30_000;
    expect((await messenger.send(wardId, notice('5.a'), composed)).is).toBe('sent');
    expect((await update()).is).toBe('wait');
  });
});
