import { expect, test } from 'vitest';
import { fewAtOnce } from '../../src/app/few-at-once.ts';
import { sweepWards } from '../../src/app/sweep-wards.ts';
import { wakeBehind, wakeInTurn } from '../../src/app/wake-in-turn.ts';
import { wakeWard } from '../../src/app/wake-ward.ts';
import { appOnMemory, wardId } from '../support/app-on-memory.ts';
import { wall } from '../support/line-builder.ts';

/** A ward with a line placed at 18:23; its handover is due at 18:45, 15 min before the shift. */
async function beforeHandover() {
  const app = appOnMemory(wall('18:23'));
  await app.place({ flushMode: 'manual' });
  const asked: string[] = [];
  let read = 0;
  const put = {
    ...fewAtOnce(1, async () => ({ goesOn: false })),
    ask: (ward: string) => void asked.push(ward),
  };
  const record = {
    ...app.record,
    readWard: (ward: string) => {
      read++;
      return app.record.readWard(ward);
    },
  };
  const deps = { ...app.deps, record, behind: { calendars: put, handovers: put, files: put } };
  const due = async () => app.record.dueNow(wardId, app.clock.now());
  const toldOf = async () => (await app.record.readWardLog(wardId)).map(({ kind }) => kind);
  return { app, deps, asked, due, toldOf, reads: () => read };
}

test('a wake-up for a handover alone is put behind, and done once when its turn comes', async () => {
  const { app, deps, asked, due, toldOf, reads } = await beforeHandover();
  app.clock.jumpTo(wall('18:44'));
  await wakeWard(deps, wardId);
  app.clock.jumpTo(wall('18:45'));
  expect(await due()).toEqual(['ward']);
  const before = reads();
  await wakeInTurn(deps, wardId);
  expect(asked).toEqual([wardId]);
  expect(reads()).toBe(before);
  expect(await toldOf()).not.toContain('handedOver');

  await wakeBehind(deps, wardId);
  const posted = (await toldOf()).filter((kind) => kind === 'handedOver');
  expect(posted).toHaveLength(1);
  const after = reads();
  await wakeBehind(deps, wardId);
  expect(reads()).toBe(after);
});

test('a wake-up that a line owes too goes first, and brings the handover with it', async () => {
  const { app, deps, asked, due } = await beforeHandover();
  app.clock.jumpTo(wall('18:50'));
  expect((await due()).length).toBeGreaterThan(1);
  await wakeInTurn(deps, wardId);
  expect(asked).toEqual([]);
  expect(await due()).toEqual([]);
});

test('a sweep does what a process that died had put behind', async () => {
  const { app, deps, due } = await beforeHandover();
  app.clock.jumpTo(wall('18:50'));
  await sweepWards(deps, { deep: false });
  expect(await due()).toEqual([]);
});

test('a sweep leaves to its turn what is in line already, and does what a line owes at once', async () => {
  const { app, deps, due, toldOf } = await beforeHandover();
  app.clock.jumpTo(wall('18:44'));
  await wakeWard(deps, wardId);
  app.clock.jumpTo(wall('18:45'));
  const { calendars } = deps.behind;
  const inLine = { ...deps.behind, calendars: { ...calendars, has: (ward: string) => ward === wardId } };
  await sweepWards({ ...deps, behind: inLine }, { deep: true });
  expect(await toldOf()).not.toContain('handedOver');
  app.clock.jumpTo(wall('18:53'));
  expect(await due()).not.toEqual(['ward']);
  await sweepWards({ ...deps, behind: inLine }, { deep: false });
  expect(await toldOf()).toContain('handedOver');
});
