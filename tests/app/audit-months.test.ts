import { isDeepStrictEqual } from 'node:util';
import { describe, expect, it } from 'vitest';
import { auditMonths } from '../../src/app/audit-months.ts';
import { AuditFailed } from '../../src/app/audits.ts';
import { deliverPosts } from '../../src/app/deliver-posts.ts';
import { recordOnLines } from '../../src/app/record-on-lines.ts';
import { wakeWard } from '../../src/app/wake-ward.ts';
import { wardAudit } from '../../src/domain/audit/ward-audit.ts';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import { appOnMemory, wardId } from '../support/app-on-memory.ts';
import { hour, minute, wall, wardZone } from '../support/line-builder.ts';

const firstShift = wall('2026-12-01 07:00');
const november = { from: wall('2026-11-01 00:00'), to: wall('2026-12-01 00:00') };

/** The app with audits of the record in memory, counted at once; `fails` makes the next ones fail. */
function app(startMs = wall('2026-11-24 19:00')) {
  const made = appOnMemory(startMs);
  const asked: string[] = [];
  const state = { fails: 0 };
  const run = auditMonths({
    ...made.deps,
    pagesOf: () => ({ ward: 2, lead: 1 }),
    audits: {
      async of(ward, period) {
        asked.push(ward);
        if (state.fails-- > 0) throw new AuditFailed('not now');
        const copy = (await made.record.readCopy(ward)) ?? { wardEntries: [], lines: [] };
        return {
          audit: wardAudit(copy, defaultPolicy(wardZone), period),
          pictures: [],
          curvePictures: {},
        };
      },
    },
  });
  return { ...made, run, asked, state };
}

async function delivered(made: ReturnType<typeof app>) {
  for (let i = 0; i < 20; i++) {
    made.real.now += 1_000;
    await deliverPosts(made.deps, wardId);
  }
  return made.sent.filter(({ post }) => post.kind === 'report').map(({ post }) => post);
}
const audited = async ({ record }: ReturnType<typeof app>) =>
  (await record.readWardLog(wardId)).filter(({ kind }) => kind === 'audited').map(({ body }) => body);

describe('auditMonths', () => {
  it('writes the month down and asks for its messages once, from the first shift start on', async () => {
    const made = app();
    await made.place({ operator: 'ada', tries: 2 });
    await made.run();
    made.clock.jumpTo(firstShift - 1);
    await made.run();
    expect([made.asked, await audited(made)]).toEqual([[], []]);
    made.clock.jumpTo(firstShift);
    await made.run();
    await made.run();
    expect(await audited(made)).toEqual([november]);
    const posts = await delivered(made);
    const to = (whom: object | string) =>
      posts.filter((post) => isDeepStrictEqual(post.to, whom)).map(({ about }) => about);
    expect(posts).toHaveLength(3);
    expect(to('ward')).toEqual([
      { what: 'audit', ...november, page: 1, pages: 2 },
      { what: 'audit', ...november, page: 2, pages: 2 },
    ]);
    expect(to({ user: 'ada' })).toEqual([{ what: 'audit', ...november, page: 1, pages: 1 }]);
    expect(made.asked).toHaveLength(1);
  });

  it('sends one message of two processes that count at once', async () => {
    const made = app();
    await made.place();
    made.clock.jumpTo(firstShift);
    await Promise.all([made.run(), made.run()]);
    expect(made.asked).toHaveLength(2);
    expect(await audited(made)).toEqual([november]);
    expect(await delivered(made)).toHaveLength(2);
  });

  it('ranks behind a reminder that comes due at the same time', async () => {
    const made = app(firstShift - 20 * minute);
    await made.place();
    made.clock.jumpTo(firstShift);
    made.clock.jumpTo(wall('2026-12-01 08:00'));
    await made.place({ patient: { name: 'Mochi' } }, wall('2026-11-30 23:00'));
    await made.run();
    await wakeWard(made.deps, wardId);
    await delivered(made);
    const kinds = made.sent.filter(({ how }) => how === 'sent').map(({ post }) => post.kind);
    expect(kinds).toContain('report');
    expect(kinds.lastIndexOf('nudge')).toBeLessThan(kinds.indexOf('report'));
  });

  it('tries a count that failed again after an hour and not at every sweep', async () => {
    const made = app();
    await made.place();
    made.clock.jumpTo(firstShift);
    made.state.fails = 1;
    await made.run();
    await made.run();
    expect([made.asked.length, await audited(made)]).toEqual([1, []]);
    expect(made.troubles).toEqual(['a month’s audit could not be posted; it is tried again']);
    made.real.now += hour;
    await made.run();
    expect(await audited(made)).toEqual([november]);
  });

  it('writes a month without lines down and says nothing', async () => {
    const made = app(wall('2026-10-10 10:00'));
    const line = await made.place();
    await recordOnLines(made.deps, { wardId, by: 'nina', via: 'form' }, [
      { lineId: line.id, draft: { kind: 'removed', body: { reason: 'death' } } },
    ]);
    made.clock.jumpTo(wall('2026-10-12 19:05'));
    await wakeWard(made.deps, wardId);
    made.clock.jumpTo(wall('2026-11-01 07:00'));
    await made.run();
    expect(await delivered(made)).toHaveLength(2);
    made.clock.jumpTo(firstShift);
    await made.run();
    expect((await audited(made)).length).toBe(2);
    expect(await delivered(made)).toHaveLength(2);
  });

  it('tells those whose practice lapsed in the month once, and not month after month', async () => {
    const made = app(wall('2026-08-15 10:00'));
    await made.place({ operator: 'ada', tries: 1 });
    const told: string[] = [];
    for (const month of ['09', '10', '11', '12']) {
      made.clock.jumpTo(wall(`2026-${month}-01 07:00`));
      await made.run();
      const posts = (await delivered(made)).filter(({ to }) => to !== 'ward');
      made.sent.length = 0;
      told.push(posts.map(({ to }) => (to === 'ward' ? '' : to.user)).join());
    }
    // 90 days after 15 August is 13 November.
    expect(told).toEqual(['ada', '', '', 'ada']);
  });

  it('waits for no picture before the next message, and has the operator hear of one that failed', async () => {
    const made = app();
    await made.place();
    made.clock.jumpTo(firstShift);
    await made.run();
    const { messenger } = made.deps;
    messenger.addPictures = (_ward, { about }) =>
      about?.page === 1 ? new Promise(() => undefined) : Promise.reject(new Error('no place'));
    expect(await delivered(made)).toHaveLength(2);
    expect(made.troubles).toContain('pictures could not be added to a message');
  });

  it('lets what comes after it go first while it is still being counted', async () => {
    const made = app();
    await made.place();
    made.clock.jumpTo(firstShift);
    await made.run();
    const { messenger } = made.deps;
    const compose = messenger.compose.bind(messenger);
    let isCounted = false;
    messenger.compose = async (post, view, now) => ({
      ...(await compose(post, view, now)),
      notYet: post.kind === 'report' && !isCounted,
    });
    await delivered(made);
    expect(made.sent.map(({ post }) => post.kind)).toEqual(['card']);
    isCounted = true;
    expect(await delivered(made)).toHaveLength(2);
  });

  it('keeps a report that cannot be delivered from the ward', async () => {
    const made = app();
    await made.place({ operator: 'ada', tries: 2 });
    await delivered(made);
    made.clock.jumpTo(firstShift);
    await made.run();
    made.sent.length = 0;
    // To a person first: the ward's lane has a second between two messages.
    made.outcomes.push({ is: 'refused', why: 'user_not_found', forGood: true });
    await delivered(made);
    expect(made.sent.map(({ post }) => [post.kind, post.to])).toEqual([
      ['report', 'ward'],
      ['report', 'ward'],
    ]);
    expect(made.troubles).toEqual(['a message was refused for good']);
  });
});
