import { describe, expect, it } from 'vitest';
import { deliverBehind, deliverPosts } from '../../src/app/deliver-posts.ts';
import { fewAtOnce } from '../../src/app/few-at-once.ts';
import { handOver } from '../../src/app/hand-over.ts';
import { handoverPosts } from '../../src/app/handover-posts.ts';
import { readHandover } from '../../src/app/handover-record.ts';
import { recordOnLines } from '../../src/app/record-on-lines.ts';
import { appOnMemory, wardId } from '../support/app-on-memory.ts';
import { wall } from '../support/line-builder.ts';

/** A ward with one line whose card waits to be sent. */
async function withCard() {
  const app = appOnMemory(wall('02:00'));
  const line = await app.place();
  return { app, line, deliver: () => deliverPosts(app.deps, wardId) };
}

describe('a message that waits', () => {
  it('is sent once, and again only when its words change', async () => {
    const { app, line, deliver } = await withCard();
    await deliver();
    app.real.now += 60_000;
    await deliver();
    expect(app.sent.map(({ how }) => how)).toEqual(['sent']);
    await recordOnLines(app.deps, { wardId, by: 'nina', via: 'button' }, [
      { lineId: line.id, draft: { kind: 'zeroed', body: {} } },
    ]);
    app.real.now += 60_000;
    await deliver();
    expect(app.sent.map(({ how }) => how)).toEqual(['sent', 'updated']);
  });

  it('is looked for before it is repeated when its send is unclear, and not sent again where it stands', async () => {
    const { app, deliver } = await withCard();
    app.outcomes.push({ is: 'unclear', why: 'reset' });
    await deliver();
    app.found.answer = { place: 'C0WARD', id: 'm7' };
    app.real.now += 60_000;
    await deliver();
    expect(app.sent.filter(({ how }) => how === 'sent')).toEqual([]);
    expect((await app.record.readPost(wardId, `9.card.line1`))?.sent?.id).toBe('m7');
  });

  it('ends the run when its send is unclear, so that what hangs does not hang once for every message', async () => {
    const { app, line } = await withCard();
    await app.place({ patient: { name: 'Mochi' } });
    app.outcomes.push({ is: 'unclear', why: 'timed out' });
    await deliverPosts(app.deps, wardId);
    expect(app.sent).toEqual([]);
    expect((await app.record.readPost(wardId, `9.card.${line.id}`))?.tries).toBe(1);
    app.real.now += 60_000;
    await deliverPosts(app.deps, wardId);
    expect(app.sent.length).toBeGreaterThan(0);
  });

  it('is sent again when it was looked for and does not stand', async () => {
    const { app, deliver } = await withCard();
    app.outcomes.push({ is: 'unclear', why: 'reset' });
    await deliver();
    app.real.now += 60_000;
    await deliver();
    expect(app.sent).toHaveLength(1);
  });

  it('is not repeated for 2 min while nobody knows whether it stands, then is, and the operator is told', async () => {
    const { app, deliver } = await withCard();
    app.outcomes.push({ is: 'unclear', why: 'reset' });
    await deliver();
    app.found.answer = new Error('history is away');
    app.real.now += 60_000;
    await deliver();
    expect(app.sent).toEqual([]);
    app.real.now += 120_000;
    await deliver();
    expect(app.sent).toHaveLength(1);
    expect(app.troubles).toEqual(['a message that may stand is sent again, since nobody can look']);
  });

  it('that was repeated though it stood is taken away again as soon as somebody can look, however often that takes', async () => {
    const { app, line, deliver } = await withCard();
    const later = async (ms: number) => {
      app.real.now += ms;
      await deliver();
    };
    app.outcomes.push({ is: 'unclear', why: 'reset' });
    await deliver();
    app.found.answer = new Error('history is away');
    await later(60_000);
    await later(120_000);
    const [again] = app.sent;
    expect(again?.how).toBe('sent');
    // Its words go on being brought up to date meanwhile, and it is not sent a third time.
    await recordOnLines(app.deps, { wardId, by: 'nina', via: 'button' }, [
      { lineId: line.id, draft: { kind: 'zeroed', body: {} } },
    ]);
    await later(60_000);
    await later(200_000);
    expect(app.sent.map(({ how }) => how)).toEqual(['sent', 'updated']);
    expect(app.takenAway).toEqual([]);
    app.found.answer = { place: 'C0WARD', id: 'm1', others: ['m0'] };
    await later(60_000);
    expect(app.takenAway).toEqual(['m0']);
    app.found.answer = new Error('not to be asked again');
    await later(60_000);
    expect(app.takenAway).toEqual(['m0']);
    expect((await app.record.readPost(wardId, `9.card.${line.id}`))?.sent?.hash).not.toContain('2|');
  });

  it('is left where it stands once where a look finds it twice: the newest', async () => {
    const { app, line, deliver } = await withCard();
    app.outcomes.push({ is: 'unclear', why: 'reset' });
    await deliver();
    app.found.answer = { place: 'C0WARD', id: 'm9', others: ['m8', 'm7'] };
    app.real.now += 60_000;
    await deliver();
    expect(app.takenAway).toEqual(['m8', 'm7']);
    expect((await app.record.readPost(wardId, `9.card.${line.id}`))?.sent?.id).toBe('m9');
  });

  it('is not sent again where the platform shows copies but does not let them go yet: they go later', async () => {
    const { app, line, deliver } = await withCard();
    const { messenger } = app.deps;
    const takeAway = messenger.takeAway.bind(messenger);
    app.outcomes.push({ is: 'unclear', why: 'reset' });
    await deliver();
    app.found.answer = { place: 'C0WARD', id: 'm9', others: ['m8', 'm7'] };
    messenger.takeAway = async (ward, place, id) => {
      if (id === 'm7') throw new Error('not so fast');
      return takeAway(ward, place, id);
    };
    app.real.now += 200_000;
    await deliver();
    expect(app.takenAway).toEqual(['m8']);
    app.found.answer = { place: 'C0WARD', id: 'm9', others: ['m7'] };
    messenger.takeAway = takeAway;
    app.real.now += 60_000;
    await deliver();
    expect(app.takenAway).toEqual(['m8', 'm7']);
    expect(app.sent.map(({ how }) => how)).toEqual(['updated']);
    expect(app.troubles).toEqual([]);
    const { sent } = (await app.record.readPost(wardId, `9.card.${line.id}`)) ?? {};
    expect(sent).toMatchObject({ id: 'm9', hash: expect.not.stringContaining('2|') as string });
  });

  it('waits as long as the platform asks', async () => {
    const { app, deliver } = await withCard();
    app.outcomes.push({ is: 'wait', ms: 30_000 });
    await deliver();
    app.real.now += 29_000;
    await deliver();
    expect(app.sent).toEqual([]);
    app.real.now += 1_500;
    await deliver();
    expect(app.sent).toHaveLength(1);
  });
});

describe('a direct message that is refused for good', () => {
  it('goes to the ward instead, with the same duties', async () => {
    const { app, line, deliver } = await withCard();
    await deliver();
    const asked = [{ lineId: line.id, kind: 'flush' as const, dueAt: wall('03:00') }];
    await app.record.commit(wardId, {
      lines: [],
      wakes: {},
      posts: [
        {
          key: '0.clinician.x.vet',
          kind: 'escalation',
          to: { user: 'vet' },
          lines: [line.id],
          asked,
          at: wall('03:20'),
        },
      ],
    });
    app.outcomes.push({ is: 'refused', why: 'user_disabled', forGood: true });
    for (let round = 0; round < 3; round++) {
      app.real.now += 60_000;
      await deliver();
    }
    expect(app.sent.at(-1)?.post).toMatchObject({
      kind: 'notice',
      to: 'ward',
      asked,
      about: { what: 'unreached', user: 'vet' },
    });
    expect(app.troubles).toContain('a message was refused for good');
  });
});

describe('a message that a newer one says all of', () => {
  it('is kept while it may stand and nobody can look, so that what stands is brought up to date', async () => {
    const { app, line } = await withCard();
    app.outcomes.push({ is: 'unclear', why: 'reset' });
    await deliverPosts(app.deps, wardId);
    const { messenger } = app.deps;
    const superseding = {
      ...messenger,
      compose: async (...given: Parameters<typeof messenger.compose>) => ({
        ...(await messenger.compose(...given)),
        superseded: true,
      }),
    };
    app.found.answer = new Error('history is away');
    app.real.now += 10 * 60_000;
    await deliverPosts({ ...app.deps, messenger: superseding }, wardId);
    expect(await app.record.readPost(wardId, `9.card.${line.id}`)).not.toBeNull();
    app.found.answer = { place: 'C0WARD', id: 'm7' };
    app.real.now += 10 * 60_000;
    await deliverPosts({ ...app.deps, messenger: superseding }, wardId);
    expect(app.sent.map(({ how }) => how)).toEqual(['updated']);
  });

  it('is not sent any more when it still waits, and leaves the outbox', async () => {
    const { app, deliver } = await withCard();
    const { messenger } = app.deps;
    app.deps.messenger = {
      ...messenger,
      compose: async (...given) => ({ ...(await messenger.compose(...given)), superseded: true }),
    };
    await deliver();
    expect(app.sent).toEqual([]);
    expect(await app.record.readPost(wardId, '9.card.line1')).toBeNull();
  });
});

describe('a refusal for good and a stop right after it', () => {
  it('loses nothing: the ward is told before the row is let go', async () => {
    const { app, line, deliver } = await withCard();
    await deliver();
    await app.record.commit(wardId, {
      lines: [],
      wakes: {},
      posts: [
        {
          key: '0.clinician.x.vet',
          kind: 'escalation',
          to: { user: 'vet' },
          lines: [line.id],
          asked: [],
          at: wall('03:20'),
        },
      ],
    });
    app.outcomes.push({ is: 'refused', why: 'user_disabled', forGood: true });
    const { record } = app.deps;
    app.deps.record = {
      ...record,
      postDone: async () => {
        throw new Error('stopped');
      },
    };
    app.real.now += 60_000;
    await expect(deliver()).rejects.toThrow('stopped');
    expect((await app.record.readPost(wardId, '0.unreached.clinician.x.vet'))?.post.about?.what).toBe(
      'unreached',
    );
  });
});

describe('a handover', () => {
  it('stands before no reminder: it is sent behind the rest, few wards at once, its files apart from its messages', async () => {
    const { app } = await withCard();
    await handOver(app.deps, { wardId, by: 'nina', via: 'command' });
    const asked: string[] = [];
    const put = (part: string) => ({
      ...fewAtOnce(1, async () => ({ goesOn: false })),
      ask: () => void asked.push(part),
    });
    const deps = {
      ...app.deps,
      behind: { calendars: put('calendars'), handovers: put('handovers'), files: put('files') },
    };
    await deliverPosts(deps, wardId);
    expect(app.sent.map(({ post }) => post.key)).toEqual(['9.card.line1']);
    expect(asked).toEqual(['handovers']);

    const work: Promise<void>[] = [];
    app.real.now += 1_000;
    expect(
      await deliverBehind({ ...deps, aside: (one) => void work.push(one) }, wardId, 'handovers'),
    ).toEqual({
      goesOn: false,
    });
    expect(app.sent.map(({ post }) => post.about?.what)).toEqual([undefined, 'accept']);
    expect(work).toEqual([]);
  });

  it('is worked out once for all that follows it and for what is told while it stands, whatever other wards hand over', async () => {
    const { app } = await withCard();
    let logsRead = 0;
    const record = {
      ...app.record,
      readLog: (ward: string, line: string) => {
        logsRead++;
        return app.record.readLog(ward, line);
      },
    };
    const view = await record.readWard(wardId);
    const now = app.clock.now();
    const [post] = handoverPosts(view, now, now);
    await readHandover(record, wardId, post!);
    const handovers = Array.from({ length: 100 }, (_, ward) =>
      readHandover(record, `T0TEST.C${ward}`, post!),
    );
    await Promise.all(handovers);
    const before = logsRead;
    expect(before).toBeGreaterThan(0);
    await readHandover(record, wardId, post!);
    expect(logsRead).toBe(before);
    // A wider ward than fits lets the oldest go, never itself.
    const versions = {
      ward: 0,
      lines: Object.fromEntries(Array.from({ length: 2_500 }, (_, id) => [`x${id}`, 1])),
    };
    const wide = { ...post!, about: { ...post!.about, what: 'accept', versions } };
    await readHandover(record, 'T0TEST.C0WIDE', wide);
    await readHandover(record, wardId, post!);
    expect(logsRead).toBeGreaterThan(before);
  });
});
