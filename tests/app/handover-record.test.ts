import { expect, it } from 'vitest';
import { handoverPosts, restOfHandover } from '../../src/app/handover-posts.ts';
import { readHandover } from '../../src/app/handover-record.ts';
import { recordOnLines } from '../../src/app/record-on-lines.ts';
import { recordOnWard } from '../../src/app/record-on-ward.ts';
import { appOnMemory, wardId } from '../support/app-on-memory.ts';
import { wall } from '../support/line-builder.ts';

const by = { wardId, by: 'nina', via: 'button' } as const;

it('a handover is of one instant: what is told, or agreed on, between two of its parts shows in none', async () => {
  const app = appOnMemory(wall('18:00'));
  const { id } = await app.place();
  app.clock.jumpTo(wall('18:45'));
  const [first] = handoverPosts(await app.record.readWard(wardId), wall('19:00'), wall('18:45'));
  const before = await readHandover(app.record, wardId, first!);
  const [details] = restOfHandover(first!, before, { channel: 1, visits: 1 }, '1.0');

  // In the very millisecond of the first part, and later: another program reads what comes after.
  await recordOnLines(app.deps, by, [{ lineId: id, draft: { kind: 'flushed', body: {} } }]);
  const { policy } = await app.record.readWardState(wardId);
  await recordOnWard(app.deps, by, { kind: 'policySet', body: { policy: { ...policy, flushEveryMin: 30 } } });
  const fresh = { ...app.record };
  const after = await readHandover(fresh, wardId, details!);
  expect(after).toEqual(before);
  expect(after.watch.concat(after.stable).map(({ line }) => line.flushCount)).toEqual([0]);
  expect(after.ward.policy.flushEveryMin).toBe(60);
  // Made anew, it has both.
  const [next] = handoverPosts(await app.record.readWard(wardId), wall('19:00'), wall('18:45'));
  const renewed = await readHandover(fresh, wardId, next!);
  expect(renewed.watch.concat(renewed.stable).map(({ line }) => line.flushCount)).toEqual([1]);
  expect(renewed.ward.policy.flushEveryMin).toBe(30);
});

it('a post of an older program, without the length of each log, has what was told by its time', async () => {
  const app = appOnMemory(wall('18:00'));
  const { id } = await app.place();
  app.clock.jumpTo(wall('18:46'));
  await recordOnLines(app.deps, by, [{ lineId: id, draft: { kind: 'flushed', body: {} } }]);
  const old = {
    key: '3.handover.x.999',
    kind: 'handover',
    to: 'ward',
    lines: [id],
    asked: [],
    at: wall('18:45'),
    about: { what: 'accept', for: wall('19:00') },
  } as const;
  const read = await readHandover(app.record, wardId, { ...old, lines: [...old.lines], asked: [] });
  expect(read.watch.concat(read.stable).map(({ line }) => line.flushCount)).toEqual([0]);
});
