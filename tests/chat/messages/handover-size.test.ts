import { describe, expect, it } from 'vitest';
import type { LineState } from '../../../src/domain/record/line-state.ts';
import { handoverParts } from '../../../src/wording/handover/handover-parts.ts';
import { handoverMessages, handoverOf } from '../../support/handed-over.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';
import { nastyWard } from '../../support/nasty-ward.ts';
import { buttonsIn, names } from './compose-for-test.ts';

const now = wall('18:45');
const inChannel = (what: string | undefined) => what === 'accept' || what === 'more';

/** What a handover of so many lines, every third with trouble, says in the channel. */
async function channel(count: number) {
  const logs = nastyWard(count);
  const made = await handoverMessages(logs, testWard(), now, { names });
  return { logs, made, posts: made.filter(({ post }) => inChannel(post.about?.what)) };
}

describe('a handover of a nasty ward', () => {
  it('of 12 lines is one post of at most 1,250 characters, from Watch to the next visit', async () => {
    const { posts, logs } = await channel(12);
    expect(posts).toHaveLength(1);
    const text = posts[0]?.message.text ?? '';
    expect(text.length).toBeLessThanOrEqual(1_250);
    expect(text).not.toContain('…');
    for (const log of logs) expect(text).toContain(log.state().patient.name);
    const order = [
      'Handover to night',
      'On call at 19:00: Dr Ada Holm',
      'Watch, most urgent first',
      'Tigger',
      'Biscuit',
      'Juno',
      'Pip',
      'Stable',
      'Bruno',
      'Visits until 07:00',
    ];
    const at = order.map((words) => text.indexOf(words));
    expect(at).toEqual(at.toSorted((a, b) => a - b));
    expect(at[0]).toBe(0);
  });

  it('of 40 lines is at most three posts, and Watch is whole in the first', async () => {
    const { posts, logs } = await channel(40);
    expect(posts.length).toBeLessThanOrEqual(3);
    const { watch } = handoverOf(logs, testWard(), now);
    expect(watch.length).toBeGreaterThanOrEqual(13);
    for (const { line } of watch) expect(posts[0]?.message.text).toContain(`${line.patient.name} (`);
    const all = posts.map(({ message }) => message.text).join('\n');
    for (const log of logs) expect(all).toContain(log.state().patient.name);
    for (const { message } of posts) expect(message.text.length).toBeLessThanOrEqual(3_900);
  });

  it('where every line has trouble says how many more there are and where, and keeps the worst first', async () => {
    const logs = nastyWard(40).filter((_, index) => index % 3 === 0);
    const made = await handoverMessages(logs.slice(0, 12), testWard(), now, { names });
    const posts = made.filter(({ post }) => inChannel(post.about?.what));
    expect(posts.length).toBe(2);
    const [first, second] = posts.map(({ message }) => message.text);
    const { watch } = handoverOf(logs.slice(0, 12), testWard(), now);
    const named = watch.filter(({ line }) => first?.includes(`${line.patient.name} (`));
    // The first of the list, and none out of its turn.
    expect(named.map(({ line }) => line.id)).toEqual(watch.slice(0, named.length).map(({ line }) => line.id));
    expect(named.length).toBeGreaterThanOrEqual(6);
    expect(first).toContain(`${watch.length - named.length} more to watch in the message below`);
    for (const { line } of watch.slice(named.length)) expect(second).toContain(`${line.patient.name} (`);
    expect(first?.length).toBeLessThanOrEqual(1_500);
  });

  it('carries every patient of every visit by name with a box, each visit once: in the channel or its thread', async () => {
    const { made, logs } = await channel(40);
    const { visits: all, watch, stable } = handoverOf(logs, testWard(), now);
    // A cat’s warning alone is nothing to walk for.
    const visits = all.filter(({ duties }) => duties.some(({ kind }) => kind !== 'dwellWarning'));
    const inThread = made.filter(({ post }) => post.about?.what === 'rounds');
    const rows = [...made.filter(({ post }) => inChannel(post.about?.what)), ...inThread]
      .flatMap(({ message }) =>
        message.blocks.flatMap((block) =>
          (block.type === 'section' ? (block.text?.text ?? '') : '').split('\n'),
        ),
      )
      .filter((row) => /^\*(?:\w+ \d+ \w+ )?\d\d:\d\d\*/.test(row));
    expect(rows).toHaveLength(visits.length);
    const byId = new Map([...watch, ...stable].map(({ line }) => [line.id, line]));
    visits.forEach(({ duties }, index) => {
      const owed = new Set(duties.flatMap(({ lineId, kind }) => (kind === 'dwellWarning' ? [] : [lineId])));
      for (const id of owed)
        expect(`${rows[index]} `).toMatch(new RegExp(`☐ ${byId.get(id)?.patient.name}[ ;]`));
      expect(rows[index]?.split('☐').length).toBe(owed.size + 1);
      expect(rows[index]).not.toContain('×');
    });
  });

  it('loses no visit between channel and thread where names come back longer the second time', async () => {
    const handover = handoverOf(nastyWard(12), testWard(), now);
    const visitsOf = (lists: string[][]) =>
      lists.flat().flatMap((list) => list.split('\n').filter((row) => row.includes('☐')));
    const [short, long] = await Promise.all(
      [3, 260].map((length) => handoverParts(handover, { of: async () => 'W'.repeat(length) })),
    );
    expect(visitsOf(long?.visits ?? [])).toEqual(visitsOf(short?.visits ?? []));
    expect(visitsOf(short?.channel ?? []).length).toBeGreaterThan(0);
    expect(visitsOf(short?.visits ?? []).length).toBeGreaterThan(0);
  });

  it('has a button that accepts it all, one for a tick each, and each patient once in the thread', async () => {
    const { made, logs } = await channel(12);
    const [first] = made;
    expect(buttonsIn(first?.message.blocks ?? []).map(({ action_id }) => action_id)).toEqual([
      'accept',
      'open:readback',
    ]);
    const paged = made.flatMap(({ post }) => (post.about?.what === 'patients' ? post.lines : []));
    expect(paged.toSorted()).toEqual(logs.map(({ id }) => id).toSorted());
    for (const { post } of made.filter(({ post }) => !inChannel(post.about?.what)))
      expect(post.about?.thread).toBe('1.0');
  });
});

describe('who is on call', () => {
  const said = async (ward: ReturnType<typeof testWard>) =>
    (await handoverMessages([new LineLog('18:00').inOrder('18:05')], ward, now, { names }))[0]?.message.text;

  it('is whoever is in the shift that comes, not who is now', async () => {
    const shared = testWard({ rota: { day: 'nina', night: 'vet' } });
    expect(await said(shared)).toContain('On call at 19:00: Dr Ada Holm.');
  });

  it('is NOBODY, where nobody is, with how to set one', async () => {
    expect(await said(testWard({ rota: {} }))).toContain(
      'On call: NOBODY from 19:00. Set one: /artline oncall @name',
    );
  });

  it('is said to be left over where nobody was named for the shift and the last one is still called', async () => {
    const ward = {
      ...testWard({ rota: {} }),
      onCallSet: { user: 'vet', at: wall('2026-11-24 08:00'), by: 'nina' },
    };
    expect(await said(ward)).toContain('On call at 19:00: still Dr Ada Holm, nobody is named for night');
    // The day was somebody else's, by the rota.
    const again = { ...ward, policy: testWard({ rota: { day: 'nina' } }).policy };
    const before = { ...again, onCallSet: { ...ward.onCallSet, at: wall('2026-11-23 20:00') } };
    expect(await said(before)).toContain('On call at 19:00: Dr Ada Holm again, nobody is named for night');
  });
});

describe('a reading from before the shift', () => {
  const at = async (clock: string) => {
    const log = new LineLog(wall('2026-11-24 05:00'), {
      flushMode: 'continuous',
      source: { kind: 'pressure bag', volumeMl: 500, rateMlPerH: 3, pressureMmHg: 300 },
    })
      .inOrder(wall('2026-11-24 05:05'))
      .add('reading', wall(`2026-11-24 ${clock}`), {
        sapMmHg: 118,
        dapMmHg: 64,
        mapMmHg: 82,
        heartRatePerMin: 120,
      })
      .inOrder(wall('2026-11-24 06:50'))
      .add('sourceChecked', wall('2026-11-24 06:51'), {});
    for (const hours of [8, 11, 14, 17])
      log.add('siteChecked', wall(`2026-11-24 ${String(hours).padStart(2, '0')}:30`), { finding: {} });
    log
      .add('redressed', wall('2026-11-24 16:40'), { finding: {} })
      .add('zeroed', wall('2026-11-24 16:41'), {});
    const made = await handoverMessages([log], testWard(), now, { names });
    return made.map(({ message }) => message.text);
  };

  it('is told to be old, not plainly trusted, in the first post and in the thread', async () => {
    // The day shift begins at 07:00.
    const [old, patients] = await at('06:40');
    expect(old).toContain('118/64 (82) Tue 24 Nov 06:40, from before this shift: read again');
    expect(patients).toContain('trusted then, but from before this shift: read again');
    const [fresh, told] = await at('07:10');
    expect(fresh).toContain('118/64 (82) 07:10.');
    expect(fresh).not.toContain('before this shift');
    expect(told).toContain('mmHg, trusted.');
  });
});

describe('a handover that was accepted', () => {
  const logs = nastyWard(12);
  const told = async (readBack: string[] | undefined) => {
    const accepted = { at: wall('18:50'), by: 'nina', ...(readBack ? { readBack } : {}) };
    const handovers = [{ for: wall('19:00'), auto: true, postedAt: now, accepted, nudgedAt: null }];
    const made = await handoverMessages(logs, { ...testWard(), handovers }, now, { names });
    return made[0]?.message.text;
  };
  const idOf = (name: string) =>
    logs.map((log): LineState => log.state()).find(({ patient }) => patient.name === name)?.id ?? '';

  it('names who accepted and who has which lines, in its head', async () => {
    const shared = (names: string[]) =>
      nastyWard(12).map((log) =>
        names.includes(log.state().patient.name)
          ? log.add('assigned', '18:30', { nurse: 'teo', from: wall('19:00') })
          : log,
      );
    const accepted = { at: wall('18:50'), by: 'nina' };
    const handovers = [{ for: wall('19:00'), auto: true, postedAt: now, accepted, nudgedAt: null }];
    const head = async (named: string[], isTaken: boolean) => {
      const ward = { ...testWard(), handovers: isTaken ? handovers : [{ ...handovers[0]!, accepted: null }] };
      const made = await handoverMessages(shared(named), ward, now, { names });
      return made[0]?.message.text;
    };
    const few = ['Otto', 'Rex'];
    const most = logs.map((log) => log.state().patient.name).filter((name) => name !== 'Pip');
    expect(await head(few, false)).toMatch(/Shared out: .*: Otto, Rex\. Biscuit, .* go to whoever accepts\./);
    expect(await head(few, true)).toMatch(
      /Accepted 18:50 by Nina Vale, who took .*Tigger.*\. Shared out: .*: Otto, Rex\./,
    );
    expect(await head(most, true)).toContain('Accepted 18:50 by Nina Vale, who took Pip. Shared out:');
    expect(await head([...most, 'Pip'], false)).toContain('Not accepted yet.');
  });

  it('says what of Watch was read back and names what was not', async () => {
    const all = ['Tigger', 'Biscuit', 'Juno', 'Pip'];
    expect(await told(all.map(idOf))).toContain('Read back: all 4 to watch.');
    expect(await told([idOf('Tigger'), idOf('Pip')])).toContain('Not read back: Biscuit, Juno.');
    // An older record did not ask.
    expect(await told(undefined)).not.toContain('ead back');
    expect(await told(undefined)).toContain('4 to watch. Accepted 18:50 by Nina Vale, who took all of them.');
  });
});
