import { expect, it } from 'vitest';
import type { JobDeps } from '../../src/app/app-deps.ts';
import { deliverPosts } from '../../src/app/deliver-posts.ts';
import { handOver } from '../../src/app/hand-over.ts';
import { type AppOnMemory, appOnMemory, wardId } from '../support/app-on-memory.ts';
import { wall } from '../support/line-builder.ts';

/** A ward that was just handed over; its first message needs another in the channel and one of visits in the thread. */
async function handedOver(): Promise<{
  app: AppOnMemory;
  deliver: () => Promise<void>;
  keys: () => string[];
}> {
  const app = appOnMemory(wall('18:45'));
  await app.place();
  const work: Promise<void>[] = [];
  const deps: JobDeps = {
    ...app.deps,
    aside: (one) => void work.push(one),
    messenger: {
      ...app.deps.messenger,
      compose: async ({ key, about }) => ({
        message: key,
        hash: key,
        settled: about?.what !== 'accept',
        ...(about?.what === 'accept' ? { pages: { channel: 2, visits: 1 } } : {}),
      }),
    },
  };
  await handOver(deps, { wardId, by: 'nina', via: 'command' });
  const deliver = async () => {
    for (let second = 0; second < 20; second++) {
      app.real.now += 1_000;
      await deliverPosts(deps, wardId);
      await Promise.all(work);
    }
  };
  return {
    app,
    deliver,
    keys: () =>
      app.sent.flatMap(({ post: { key, kind }, how }) =>
        kind === 'handover' && how === 'sent' ? [key.replace(/\.\w+\.(?=\d{3}$)/, '.')] : [],
      ),
  };
}

const whole = [
  '3.handover.000',
  '3.handover.001',
  '4.handover.000',
  '4.handover.501',
  '7.handover.700',
  '7.handover.701',
];

it('what follows the first message of a handover comes once it stands, its thread behind it and its files last', async () => {
  const { app, deliver, keys } = await handedOver();
  await deliver();
  expect(keys()).toEqual(whole);
  const first = app.sent.findIndex(({ post }) => post.about?.what === 'accept');
  const threads = app.sent.flatMap(({ post }) =>
    post.about?.thread === undefined ? [] : [post.about.thread],
  );
  expect(new Set(threads)).toEqual(new Set([`m${first + 1}`]));
  expect(threads).toHaveLength(4);
});

it('and comes once where a stop left it open whether the first was sent, below what is found then', async () => {
  const { app, deliver, keys } = await handedOver();
  // The line's card goes before; of the first message of the handover nobody knows whether it stands.
  app.outcomes.push({ is: 'sent', place: 'C0WARD', id: 'card' }, { is: 'unclear', why: 'a stop' });
  app.found.answer = { place: 'C0WARD', id: 'found' };
  await deliver();
  await deliver();
  expect(keys()).toEqual(whole.slice(1));
  const threads = app.sent.flatMap(({ post }) =>
    post.about?.thread === undefined ? [] : [post.about.thread],
  );
  expect(new Set(threads)).toEqual(new Set(['found']));
});
