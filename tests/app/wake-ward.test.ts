import { expect, test } from 'vitest';
import { deliverPosts } from '../../src/app/deliver-posts.ts';
import type { Post, WardRecord } from '../../src/app/ports.ts';
import { recordOnLines } from '../../src/app/record-on-lines.ts';
import { recordOnWard } from '../../src/app/record-on-ward.ts';
import { wakeWard } from '../../src/app/wake-ward.ts';
import { composeMessage } from '../../src/chat/messages/compose.ts';
import type { EntryDraft } from '../../src/domain/record/entry.ts';
import { names } from '../chat/messages/compose-for-test.ts';
import { appOnMemory, wardId } from '../support/app-on-memory.ts';
import { minute, wall } from '../support/line-builder.ts';

test('two messages of one instant to one person are two: a “cannot” of that instant reaches the clinician', async () => {
  const app = appOnMemory(wall('19:00'));
  const intent = { wardId, by: 'nina', via: 'button' } as const;
  await recordOnWard(app.deps, intent, { kind: 'onCallSet', body: { user: 'vito' } });
  const { id } = await app.place();
  for (const at of ['19:10', '19:25', '19:40']) {
    app.clock.jumpTo(wall(at));
    await wakeWard(app.deps, wardId);
  }
  const escalations = async () =>
    (await app.record.readLog(wardId, id)).filter(
      (entry) => entry.kind === 'escalated' && entry.body.to === 'clinician',
    );
  const first = await escalations();
  expect(first.map(({ at }) => at)).toEqual([wall('19:40')]);
  const cannot: EntryDraft = {
    kind: 'noted',
    body: { text: 'no tap will turn', cannot: ['zero', wall('19:00')] },
  };
  await recordOnLines(app.deps, intent, [{ lineId: id, draft: cannot }]);
  await wakeWard(app.deps, wardId);
  expect((await escalations()).map(({ at }) => at)).toEqual([wall('19:40'), wall('19:40')]);
  expect(app.troubles).toEqual([]);
});

test('a message to the clinician is still to be sent where another process, whose clock is ahead, was told of a line', async () => {
  const app = appOnMemory(wall('02:00'));
  await recordOnWard(
    app.deps,
    { wardId, by: 'nina', via: 'command' },
    { kind: 'onCallSet', body: { user: 'vera' } },
  );
  const lines = [await app.place(), await app.place({ patient: { name: 'Pretzel' } })];
  app.clock.jumpTo(wall('03:05'));
  await wakeWard(app.deps, wardId);
  app.clock.jumpTo(wall('03:07'));
  const ahead = { ...app.deps, clock: { now: () => app.clock.now() + 2_000 } };
  for (const [deps, line] of [
    [ahead, lines[0]],
    [app.deps, lines[1]],
  ] as const) {
    const cannot: EntryDraft = {
      kind: 'noted',
      body: { text: 'no access', cannot: ['flush', (line?.placed.at ?? 0) + 60 * minute] },
    };
    await recordOnLines(deps, { wardId, by: 'nina', via: 'button' }, [
      { lineId: line?.id ?? '', draft: cannot },
    ]);
  }
  const posts: Post[] = [];
  const record: WardRecord = {
    ...app.record,
    commit: (ward, change) => {
      posts.push(...change.posts);
      return app.record.commit(ward, change);
    },
  };
  await wakeWard({ ...app.deps, record }, wardId);
  const [call] = posts.filter(({ about }) => about?.what === 'clinician');
  if (!call) throw new Error('the clinician was not told');
  const { ward, lines: now } = await app.record.readWard(wardId);
  const names = { of: async (user: string) => user };
  const message = await composeMessage(call, { ward, lines: now }, names, app.clock.now());
  expect(message.superseded ?? false).toBe(false);
  expect(message.lead).toContain('BISCUIT');
});

test('a shift that the rota leaves out tells the ward and whoever is on call again, once', async () => {
  const app = appOnMemory(wall('2026-11-24 12:00'));
  const intent = { wardId, by: 'nina', via: 'command' } as const;
  const { policy } = await app.record.readWardState(wardId);
  const body = { policy: { ...policy, rota: { night: 'bo' } } };
  await recordOnWard(app.deps, intent, { kind: 'policySet', body });
  await recordOnWard(app.deps, intent, { kind: 'onCallSet', body: { user: 'ada' } });
  await app.place();
  const told = async () => {
    await wakeWard(app.deps, wardId);
    for (let second = 0; second < 20; second++) {
      await deliverPosts(app.deps, wardId);
      app.real.now += 1_000;
    }
    const { ward, lines } = await app.record.readWard(wardId);
    const posts = app.sent
      .splice(0)
      .flatMap(({ post }) => (post.about?.what.includes('on call') ? [post] : []));
    return Promise.all(
      posts.map(
        async (post) =>
          `${post.to === 'ward' ? 'ward' : post.to.user}: ${(await composeMessage(post, { ward, lines }, names, app.clock.now())).lead}`,
      ),
    );
  };
  // The rota's own shifts are no news.
  app.clock.jumpTo(wall('2026-11-24 19:00'));
  expect(await told()).toEqual([]);
  app.clock.jumpTo(wall('2026-11-25 07:00'));
  expect(await told()).toEqual([
    expect.stringMatching(
      /^ada: You are on call again for the arterial lines of .* now, set by Nina Vale\. The rota names nobody for this shift\. /,
    ),
    'ward: The rota names nobody for day. On call now: @ada, set Tue 24 Nov 12:00 by Nina Vale.',
  ]);
  app.clock.jumpTo(wall('2026-11-25 07:20'));
  expect(await told()).toEqual([]);
  // Still on call the next day: after the night's rota they are called again.
  app.clock.jumpTo(wall('2026-11-26 07:00'));
  expect(await told()).toHaveLength(2);
});
