import { describe, expect, test, vi } from 'vitest';
import { deliverEverywhere } from '../../src/app/deliver-everywhere.ts';
import type { WardRecord } from '../../src/app/ports.ts';
import { recordOnLines } from '../../src/app/record-on-lines.ts';
import { recordOnWard } from '../../src/app/record-on-ward.ts';
import { sweepWards, wakesOf } from '../../src/app/sweep-wards.ts';
import { wakeWard } from '../../src/app/wake-ward.ts';
import type { EntryDraft } from '../../src/domain/record/entry.ts';
import { type AppOnMemory, appOnMemory, wardId } from '../support/app-on-memory.ts';
import { hour, minute, wall } from '../support/line-builder.ts';

const intent = { wardId, by: 'nina', via: 'button' } as const;
const moved: EntryDraft = { kind: 'disturbed', body: { how: 'moved' } };

/** Two lines in order, so that nothing is owed for an hour. */
async function twoLines(): Promise<{ app: AppOnMemory; other: string }> {
  const app = appOnMemory(wall('19:30'));
  const lines = [await app.place(), await app.place({ patient: { name: 'Pretzel' } })];
  const told: EntryDraft[] = [
    { kind: 'zeroed', body: {} },
    { kind: 'fastFlushTested', body: { verdict: 'normal' } },
  ];
  await recordOnLines(
    app.deps,
    intent,
    lines.flatMap(({ id }) => told.map((draft) => ({ lineId: id, draft }))),
  );
  return { app, other: lines[1]?.id ?? '' };
}

/** The same app for a writer who is overtaken by `overtaker` once, after it looked and before it writes. */
function overtaken(app: AppOnMemory, overtaker: () => Promise<unknown>): AppOnMemory['deps'] {
  let done = false;
  const record: WardRecord = {
    ...app.record,
    async commit(ward, change) {
      if (!done) {
        done = true;
        await overtaker();
      }
      return app.record.commit(ward, change);
    },
  };
  return { ...app.deps, record };
}

async function earliestOwed(app: AppOnMemory): Promise<number> {
  return Math.min(...Object.values(wakesOf(await app.record.readWard(wardId), app.clock.now())));
}

describe('a writer who is overtaken', () => {
  test.each([
    ['a look at the ward', (deps: AppOnMemory['deps']) => wakeWard(deps, wardId)],
    [
      'an entry about the ward',
      (deps: AppOnMemory['deps']) =>
        recordOnWard(deps, intent, { kind: 'onCallSet', body: { user: 'vito' } }),
    ],
  ])(
    'by an entry of a line it writes nothing about sets the wake-up that entry owes: %s',
    async (_, write) => {
      const { app, other } = await twoLines();
      const before = await app.record.nextWake(wardId);
      await write(overtaken(app, () => recordOnLines(app.deps, intent, [{ lineId: other, draft: moved }])));
      const owed = await earliestOwed(app);
      expect(owed).toBeLessThan(before ?? 0);
      expect(await app.record.nextWake(wardId)).toBe(owed);
    },
  );

  test('by a new policy sets wake-ups by that policy', async () => {
    const { app, other } = await twoLines();
    const { policy } = await app.record.readWardState(wardId);
    app.clock.jumpTo(wall('19:40'));
    const everyHalfHour = { kind: 'policySet', body: { policy: { ...policy, flushEveryMin: 30 } } } as const;
    const deps = overtaken(app, () => recordOnWard(app.deps, intent, everyHalfHour));
    await recordOnLines(deps, intent, [{ lineId: other, draft: { kind: 'flushed', body: {} } }]);
    const view = await app.record.readWard(wardId);
    const right = wakesOf(view, app.clock.now());
    expect(await app.record.repairWakes(wardId, right)).toBe(0);
  });

  test('by 30 others who tell of the same line at the same time is taken like all of them', async () => {
    const { app, other } = await twoLines();
    const record: WardRecord = {
      ...app.record,
      async readLines(...asked) {
        const lines = await app.record.readLines(...asked);
        await new Promise((resolve) => setTimeout(resolve, 1));
        return lines;
      },
    };
    const names = Array.from({ length: 30 }, (_, index) => `n${index}`);
    app.clock.jumpTo(wall('19:50'));
    await Promise.all(
      names.map((by) =>
        recordOnLines({ ...app.deps, record }, { ...intent, by }, [
          { lineId: other, draft: { kind: 'noted', body: { text: `seen by ${by}` } } },
        ]),
      ),
    );
    const notes = (await app.record.readLog(wardId, other)).filter(({ kind }) => kind === 'noted');
    expect(notes.map(({ by }) => by).toSorted()).toEqual(names.toSorted());
  });
});

describe('an entry of what happened earlier', () => {
  test('is taken where somebody told of the same line between the look at it and at its log', async () => {
    const { app, other } = await twoLines();
    app.clock.jumpTo(wall('20:00'));
    await recordOnLines(app.deps, intent, [{ lineId: other, draft: moved }]);
    app.clock.jumpTo(wall('20:05'));
    let overtaken = false;
    const record: WardRecord = {
      ...app.record,
      async readLog(ward, id) {
        if (!overtaken) {
          overtaken = true;
          await recordOnLines(app.deps, { ...intent, by: 'nell' }, [{ lineId: id, draft: moved }]);
        }
        return app.record.readLog(ward, id);
      },
    };
    const earlier = { ...intent, at: wall('19:40') };
    const checked: EntryDraft = { kind: 'siteChecked', body: { finding: {} } };
    const { results: told } = await recordOnLines({ ...app.deps, record }, earlier, [
      { lineId: other, draft: checked },
    ]);
    expect(overtaken).toBe(true);
    expect(told.map(({ is }) => is)).toEqual(['taken']);
    const kinds = (await app.record.readLog(wardId, other)).map(({ kind }) => kind);
    expect(kinds.slice(-3)).toEqual(['disturbed', 'disturbed', 'siteChecked']);
  });
});

describe('hours of a policy that are no whole milliseconds', () => {
  test('bring the reminder all the same', async () => {
    const app = appOnMemory(wall('19:30'));
    const { policy } = await app.record.readWardState(wardId);
    const siteCheckEveryH = 1.3333333;
    await recordOnWard(app.deps, intent, {
      kind: 'policySet',
      body: { policy: { ...policy, siteCheckEveryH } },
    });
    const line = await app.place();
    app.clock.jumpTo(line.placed.at + 2 * hour);
    await wakeWard(app.deps, wardId);
    const nudged = (await app.record.readLog(wardId, line.id)).flatMap((entry) =>
      entry.kind === 'nudged' ? entry.body.duties : [],
    );
    const dueAt = nudged.find(([kind]) => kind === 'site')?.[1] ?? 0;
    expect(Math.abs(dueAt - (line.placed.at + siteCheckEveryH * hour))).toBeLessThan(1);
  });
});

describe('a sweep', () => {
  /** A line that is out and owes nothing leaves the list a day later: no entry says so, only time. */
  async function lineThatCloses() {
    const { app } = await twoLines();
    const out: EntryDraft = { kind: 'removed', body: { reason: 'death', finding: {}, tipWhole: true } };
    for (const { id } of (await app.record.readWard(wardId)).lines)
      await recordOnLines(app.deps, intent, [{ lineId: id, draft: out }]);
    for (;;) {
      const next = await app.record.nextWake(wardId);
      const closes = (await app.record.readWard(wardId)).lines[0]?.removed?.told ?? 0;
      if (next === null || next >= closes + 24 * hour) return { app, closesAt: closes + 24 * hour };
      app.clock.jumpTo(next);
      await wakeWard(app.deps, wardId);
    }
  }

  test('looks where time alone has changed something, though the wake-up for it was lost', async () => {
    const { app, closesAt } = await lineThatCloses();
    app.clock.jumpTo(closesAt + 20_000);
    await sweepWards(app.deps, { deep: true });
    expect((await app.record.readWard(wardId)).lines).toEqual([]);
  });

  test('takes no wake-up off that falls due while it works', async () => {
    const { app, closesAt } = await lineThatCloses();
    app.clock.jumpTo(closesAt - 1);
    const record: WardRecord = {
      ...app.record,
      async readWard(ward) {
        const view = await app.record.readWard(ward);
        app.clock.jumpTo(closesAt + 1);
        return view;
      },
    };
    await sweepWards({ ...app.deps, record }, { deep: true });
    await sweepWards(app.deps, { deep: true });
    expect((await app.record.readWard(wardId)).lines).toEqual([]);
  });

  test('looks at every ward and sends nothing, so that a chat platform that hangs holds up no other sweep', async () => {
    const { app } = await twoLines();
    const order: string[] = [];
    const wards = [wardId, 'T0TEST.C1', 'T0TEST.C2'];
    const record: WardRecord = {
      ...app.record,
      wardIds: async () => wards,
      nextWake: async (ward) => {
        order.push(ward);
        return app.clock.now() + minute;
      },
      takePost: () => new Promise(() => undefined),
    };
    await sweepWards({ ...app.deps, record }, { deep: false });
    expect(order).toEqual(wards);
  });

  test('has the messages of every ward sent beside one another', async () => {
    const { app } = await twoLines();
    let hangs: () => void = () => undefined;
    const record: WardRecord = {
      ...app.record,
      wardIds: async () => ['T0TEST.C0HANGS', wardId],
      takePost: (ward, now) =>
        ward === wardId
          ? app.record.takePost(ward, now)
          : new Promise((resolve) => {
              hangs = () => resolve({ againAt: null });
            }),
    };
    const sending = deliverEverywhere({ ...app.deps, record });
    await vi.waitFor(() => expect(app.sent.length).toBeGreaterThan(0));
    hangs();
    await sending;
  });
});
