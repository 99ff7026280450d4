import { beforeAll, describe, expect, test } from 'vitest';
import type { OutboxPart, WardRecord } from '../../src/app/ports.ts';
import { placingOf } from '../../src/domain/animal/animal.ts';
import { foldLine } from '../../src/domain/fold/fold-line.ts';
import type { Entry } from '../../src/domain/record/entry.ts';
import { foldWard, newWard } from '../../src/domain/ward/ward-state.ts';
import {
  card,
  evening,
  flushed,
  lineChange,
  nothing,
  onCall,
  placed,
  policy,
  realNow,
  sendNext,
  take,
  takenKeys,
  wardChange,
} from './ward-changes.ts';

const minuteMs = 60_000;
const written = (armed: number | null = null) => ({ is: 'written', armed });

/**
 * What every record promises. `open` is called once; each test has a ward of its own, so nothing needs clearing.
 * The record's default policy is `policy`.
 */
export function wardRecordContract(open: () => Promise<WardRecord>): void {
  let record: WardRecord;
  beforeAll(async () => {
    record = await open();
  });
  let wards = 0;
  const newWardId = () => `T01.C${(++wards).toString().padStart(4, '0')}`;

  /** A ward with one line of these entries, its card sent. */
  const wardWithCard = async (lineId = 'a', log: Entry[] = [placed()]) => {
    const wardId = newWardId();
    await record.commit(wardId, { ...nothing, lines: [lineChange(lineId, [], log)], posts: [card(lineId)] });
    await sendNext(record, wardId, realNow);
    return { wardId, log };
  };

  describe('reading', () => {
    test('reads a ward nothing was told of as a new one with the default policy', async () => {
      const wardId = newWardId();
      expect(await record.readWard(wardId)).toEqual({ ward: newWard(wardId, policy), lines: [] });
      expect(await record.readWardState(wardId)).toEqual(newWard(wardId, policy));
      expect(await record.readWardLog(wardId)).toEqual([]);
      expect(await record.nextWake(wardId)).toBeNull();
      expect(await record.wardIds()).not.toContain(wardId);
    });

    test('copies every log in full, of lines that left the list too; null of a ward nothing was told of', async () => {
      const { wardId, log } = await wardWithCard('a');
      await record.commit(wardId, {
        ...nothing,
        lines: [lineChange('a', log, [flushed(evening + minuteMs)], false), lineChange('b', [], [placed()])],
        ward: wardChange(wardId, [], [onCall('vera')]),
      });
      expect(await record.readCopy(wardId)).toEqual({
        wardId,
        wardEntries: [onCall('vera')],
        lines: [
          { id: 'a', listed: false, entries: [...log, flushed(evening + minuteMs)] },
          { id: 'b', listed: true, entries: [placed()] },
        ],
      });
      expect(await record.readCopy(newWardId())).toBeNull();
    });

    test('reads a line nobody placed as null, and leaves it out of many', async () => {
      const { wardId, log } = await wardWithCard('a');
      expect(await record.readLine(wardId, 'b')).toBeNull();
      expect(await record.readLog(wardId, 'b')).toEqual([]);
      expect(await record.readLines(wardId, ['b', 'a'])).toEqual([foldLine('a', log)]);
      expect(await record.readLines(wardId, [])).toEqual([]);
    });

    test('reads lines in the order asked for, and the ward in the order of their ids', async () => {
      const wardId = newWardId();
      const lines = ['c', 'a', 'b'].map((id) => lineChange(id, [], [placed()]));
      await record.commit(wardId, { ...nothing, lines });
      expect((await record.readLines(wardId, ['b', 'c'])).map(({ id }) => id)).toEqual(['b', 'c']);
      expect((await record.readWard(wardId)).lines.map(({ id }) => id)).toEqual(['a', 'b', 'c']);
    });
  });

  describe('whose the lines are', () => {
    const amended = (at: number): Entry => ({
      kind: 'amended',
      at,
      told: at,
      by: 'nina',
      via: 'form',
      body: { target: 1, body: { animal: 'x' } },
    });
    const removed = (at: number): Entry => ({
      kind: 'removed',
      at,
      told: at,
      by: 'nina',
      via: 'form',
      body: { reason: 'planned' },
    });
    const placings = async (wardId: string) =>
      (await record.readPlacings(wardId)).toSorted((a, b) => (a.line < b.line ? -1 : 1));

    test('is known of every line, put right and taken out, and of those off the list until they are forgotten', async () => {
      const wardId = newWardId();
      expect(await placings(wardId)).toEqual([]);
      await record.commit(wardId, {
        ...nothing,
        lines: ['a', 'b', 'c'].map((id) => lineChange(id, [], [placed()])),
      });
      await record.commit(wardId, {
        ...nothing,
        lines: [
          lineChange('a', [placed()], [removed(evening + minuteMs)], false),
          lineChange('b', [placed()], [amended(evening + minuteMs)]),
          lineChange('c', [placed()], [flushed(evening + minuteMs)], false),
        ],
      });
      expect(await placings(wardId)).toEqual([
        placingOf(foldLine('a', [placed(), removed(evening + minuteMs)])),
        placingOf(foldLine('b', [placed(), amended(evening + minuteMs)])),
        placingOf(foldLine('c', [placed()])),
      ]);
      await record.commit(wardId, { ...nothing, forget: ['a', 'nobody'] });
      expect((await placings(wardId)).map(({ line }) => line)).toEqual(['b', 'c']);
    });
  });

  describe('a change', () => {
    test('appends to the logs it names, and their states are the folds of them', async () => {
      const wardId = newWardId();
      const log = [placed(), flushed(evening + 5 * minuteMs)];
      const first = await record.commit(wardId, {
        ...nothing,
        lines: [lineChange('a', [], log), lineChange('b', [], [placed()])],
        ward: wardChange(wardId, [], [onCall('vera')]),
      });
      expect(first).toEqual(written());
      const more = [flushed(evening + 65 * minuteMs)];
      expect(await record.commit(wardId, { ...nothing, lines: [lineChange('a', log, more)] })).toEqual(
        written(),
      );

      expect(await record.readLog(wardId, 'a')).toEqual([...log, ...more]);
      expect(await record.readLog(wardId, 'b')).toEqual([placed()]);
      expect(await record.readWardLog(wardId)).toEqual([onCall('vera')]);
      expect(await record.readWard(wardId)).toEqual({
        ward: foldWard(wardId, policy, [onCall('vera')]),
        lines: [foldLine('a', [...log, ...more]), foldLine('b', [placed()])],
      });
      expect(await record.wardIds()).toContain(wardId);
    });

    test('keeps a policy that the ward set', async () => {
      const wardId = newWardId();
      const own = { ...policy, flushEveryMin: 45, clinicians: ['vera'] };
      const set = {
        kind: 'policySet',
        at: evening,
        told: evening,
        by: 'nina',
        via: 'form',
        body: { policy: own },
      } as const;
      await record.commit(wardId, { ...nothing, ward: wardChange(wardId, [], [set]) });
      expect((await record.readWardState(wardId)).policy).toEqual(own);
    });

    test('keeps a line that leaves the list readable by its id', async () => {
      const { wardId, log } = await wardWithCard('a');
      expect(await record.commit(wardId, { ...nothing, lines: [lineChange('a', log, [], false)] })).toEqual(
        written(),
      );
      expect((await record.readWard(wardId)).lines).toEqual([]);
      expect(await record.readLine(wardId, 'a')).toEqual(foldLine('a', log));
    });

    test.each([
      ['a line grew meanwhile', { lines: ['a'], wardLog: 0 }],
      ['one of several lines grew meanwhile', { lines: ['b', 'a'], wardLog: 0 }],
      ['the ward was told something meanwhile', { lines: ['b'], wardLog: 1 }],
    ])('writes nothing at all when %s', async (_, stale) => {
      const { wardId, log } = await wardWithCard('a');
      await record.commit(wardId, {
        lines: [lineChange('a', log, [flushed(evening + minuteMs)]), lineChange('b', [], [placed()])],
        wakes: { a: evening },
        posts: [],
      });
      const before = { view: await record.readWard(wardId), wake: await record.nextWake(wardId) };
      const change = {
        once: 'press-1',
        lines: stale.lines.map((id) => lineChange(id, [placed()], [flushed(evening + 2 * minuteMs)])),
        ward: wardChange(wardId, stale.wardLog === 0 ? [] : [onCall('vera')], [onCall('vito')]),
        wakes: { a: evening - 1, b: null },
        posts: [card('a', { key: '0.new' })],
        touchAll: true,
      };
      expect(await record.commit(wardId, change)).toEqual({ is: 'conflict' });
      expect({ view: await record.readWard(wardId), wake: await record.nextWake(wardId) }).toEqual(before);
      expect((await record.readLog(wardId, 'b')).length).toBe(1);
      expect(await record.readWardLog(wardId)).toEqual([]);
      expect(await record.readPost(wardId, '0.new')).toBeNull();
      // Its key was not used up: decided again, it is taken.
      const again = { ...nothing, once: 'press-1', lines: [lineChange('b', [placed()], [flushed(evening)])] };
      expect(await record.commit(wardId, again)).toEqual(written());
    });

    test('refuses a placing under an id that is taken', async () => {
      const { wardId, log } = await wardWithCard('a');
      expect(
        await record.commit(wardId, { ...nothing, lines: [lineChange('a', [], [placed(evening + 1)])] }),
      ).toEqual({
        is: 'conflict',
      });
      expect(await record.readLog(wardId, 'a')).toEqual(log);
    });

    test('with a line that was only looked at is refused when that line grew', async () => {
      const { wardId, log } = await wardWithCard('a');
      await record.commit(wardId, { ...nothing, lines: [lineChange('a', log, [flushed(evening)])] });
      const seen = lineChange('a', log, []);
      expect(await record.commit(wardId, { ...nothing, lines: [seen], wakes: { a: evening } })).toEqual({
        is: 'conflict',
      });
      expect(await record.nextWake(wardId)).toBeNull();
    });

    test('with a line that was only looked at leaves its log and its messages alone', async () => {
      const { wardId, log } = await wardWithCard('a');
      const seen = lineChange('a', log, []);
      expect(await record.commit(wardId, { ...nothing, lines: [seen], wakes: { a: evening } })).toEqual(
        written(evening),
      );
      expect(await record.readLine(wardId, 'a')).toEqual(foldLine('a', log));
      expect(await takenKeys(record, wardId, realNow + 5_000)).toEqual([]);
    });

    test.each([
      [
        'a state that stands for another log',
        { after: foldLine('a', [placed(), flushed(evening)]) },
        '2 entries',
      ],
      ['an entry that could not be read again', { entries: [placed(evening + 0.5)] }, 'int'],
    ])('is refused for %s before anything is written', async (_, wrong, why) => {
      const wardId = newWardId();
      const change = { ...nothing, lines: [{ ...lineChange('a', [], [placed()]), ...wrong }] };
      await expect(record.commit(wardId, change)).rejects.toThrow(why);
      expect(await record.readLog(wardId, 'a')).toEqual([]);
    });

    test('with a ward that was only looked at is refused when the ward was told something', async () => {
      const { wardId } = await wardWithCard('a');
      const seen = { ...nothing, ward: wardChange(wardId, [], []), wakes: { a: evening } };
      expect(await record.commit(wardId, seen)).toEqual(written(evening));
      await record.commit(wardId, { ...nothing, ward: wardChange(wardId, [], [onCall('vera')]) });
      expect(await record.commit(wardId, { ...seen, wakes: { a: null } })).toEqual({ is: 'conflict' });
      expect(await record.nextWake(wardId)).toBe(evening);
      expect(await record.dueNow(wardId, evening - 1)).toEqual([]);
      expect(await record.dueNow(wardId, evening)).toEqual(['a']);
      expect(await record.readWardState(wardId)).toEqual(foldWard(wardId, policy, [onCall('vera')]));
    });

    test('told twice is written once', async () => {
      const { wardId, log } = await wardWithCard('a');
      const change = { ...nothing, once: 'view-1', lines: [lineChange('a', log, [flushed(evening)])] };
      expect(await record.commit(wardId, change)).toEqual(written());
      expect(await record.commit(wardId, change)).toEqual({ is: 'already' });
      const decidedAgain = {
        ...change,
        lines: [lineChange('a', [...log, flushed(evening)], [flushed(evening)])],
      };
      expect(await record.commit(wardId, decidedAgain)).toEqual({ is: 'already' });
      expect((await record.readLog(wardId, 'a')).length).toBe(2);
    });

    test('told twice in two wards is written in both', async () => {
      for (const wardId of [newWardId(), newWardId()]) {
        const change = { ...nothing, once: 'view-2', lines: [lineChange('a', [], [placed()])] };
        expect(await record.commit(wardId, change)).toEqual(written());
      }
    });

    test('is refused when a message of that key stands already, and nothing of it is written', async () => {
      const { wardId, log } = await wardWithCard('a');
      const change = {
        ...nothing,
        lines: [lineChange('a', log, [flushed(evening)])],
        posts: [card('b'), card('a')],
      };
      expect(await record.commit(wardId, change)).toEqual({ is: 'conflict' });
      expect(await record.readPost(wardId, '9.card.b')).toBeNull();
      expect(await record.readLog(wardId, 'a')).toEqual(log);
    });

    test('keeps every entry of 20 writers at one line once, in an order all agree on', async () => {
      const { wardId } = await wardWithCard('a');
      const names = Array.from({ length: 20 }, (_, writer) => `nurse-${writer}`);
      const told = Array.from({ length: 5 }, (_, minute) => evening + minute * minuteMs);
      await Promise.all(
        names.map(async (name) => {
          for (const at of told) {
            for (let taken = false; !taken; ) {
              const log = await record.readLog(wardId, 'a');
              const committed = await record.commit(wardId, {
                ...nothing,
                lines: [lineChange('a', log, [flushed(at, name)])],
              });
              taken = committed.is === 'written';
            }
          }
        }),
      );
      const log = await record.readLog(wardId, 'a');
      const told20 = log.slice(1).map(({ by, at }) => `${by} ${at}`);
      expect(told20.toSorted()).toEqual(
        names.flatMap((name) => told.map((at) => `${name} ${at}`)).toSorted(),
      );
      for (const name of names) {
        const own = log.filter(({ by }) => by === name).map(({ at }) => at);
        expect(name === 'nina' ? own.slice(1) : own).toEqual(told);
      }
      expect(await record.readLine(wardId, 'a')).toEqual(foldLine('a', log));
    });

    test('lets one of 20 placings with the same key through', async () => {
      const wardId = newWardId();
      const answers = await Promise.all(
        Array.from({ length: 20 }, (_, id) =>
          record.commit(wardId, { ...nothing, once: 'place', lines: [lineChange(`l${id}`, [], [placed()])] }),
        ),
      );
      expect(answers.filter(({ is }) => is === 'written').length).toBe(1);
      expect(answers.filter(({ is }) => is === 'already').length).toBe(19);
      expect((await record.readWard(wardId)).lines.length).toBe(1);
    });
  });

  describe('the wake index', () => {
    test.each([
      ['the first wake-up', {}, { a: 50 }, 50],
      ['an earlier one', { a: 50 }, { b: 40 }, 40],
      ['a later one', { a: 50 }, { b: 60 }, null],
      ['the same instant again', { a: 50 }, { a: 50 }, null],
      ['the earliest put off', { a: 50, b: 60 }, { a: 70 }, null],
      ['the earliest taken off', { a: 50, b: 60 }, { a: null }, null],
      ['the last taken off', { a: 50 }, { a: null }, null],
      ['the earliest taken off and an earlier one set', { a: 50, b: 60 }, { a: null, b: 30 }, 30],
      ['nothing', { a: 50 }, {}, null],
    ])('answers to %s whether the earliest came forward', async (_, before, wakes, armed) => {
      const wardId = newWardId();
      await record.commit(wardId, { ...nothing, wakes: before });
      expect(await record.commit(wardId, { ...nothing, wakes })).toEqual(written(armed));
    });

    test('tells the earliest instant of lines and ward', async () => {
      const wardId = newWardId();
      await record.commit(wardId, {
        ...nothing,
        wakes: { a: evening + 3, ward: evening + 1, b: evening + 2 },
      });
      expect(await record.nextWake(wardId)).toBe(evening + 1);
      await record.commit(wardId, { ...nothing, wakes: { ward: null } });
      expect(await record.nextWake(wardId)).toBe(evening + 2);
    });

    test.each([
      ['nothing', { a: evening, b: evening + 1 }, 0],
      ['one that was missing', { a: evening, b: evening + 1, ward: evening + 2 }, 1],
      ['none that stands earlier', { a: evening, b: evening + 2 }, 0],
      ['one that was too late', { a: evening, b: evening }, 1],
      ['one that was too much', { a: evening }, 1],
      ['all', {}, 2],
      ['each of three kinds', { a: evening - 9, c: evening }, 3],
    ])('repairs %s and counts it', async (_, wakes, count) => {
      const wardId = newWardId();
      await record.commit(wardId, { ...nothing, wakes: { a: evening, b: evening + 1 } });
      expect(await record.repairWakes(wardId, wakes)).toBe(count);
      expect(await record.repairWakes(wardId, wakes)).toBe(0);
      const left = Object.values<number>(wakes);
      expect(await record.nextWake(wardId)).toBe(left.length === 0 ? null : Math.min(...left));
    });

    test('refuses an instant that is none before anything is written', async () => {
      const wardId = newWardId();
      const change = { ...nothing, lines: [lineChange('a', [], [placed()])], wakes: { a: Number.NaN } };
      await expect(record.commit(wardId, change)).rejects.toThrow('NaN');
      expect(await record.readLog(wardId, 'a')).toEqual([]);
    });
  });

  describe('the outbox', () => {
    test('has nothing for a ward without messages', async () => {
      expect(await record.takePost(newWardId(), realNow)).toEqual({ againAt: null });
      expect(await record.readPost(newWardId(), '9.card.a')).toBeNull();
    });

    test('gives a post as it was asked for, and none of its words', async () => {
      const wardId = newWardId();
      const post = card('a', {
        key: '0.clinician.x',
        kind: 'escalation',
        to: { user: 'U0VERA' },
        asked: [{ lineId: 'a', kind: 'flush', dueAt: evening }],
        about: { what: 'clinician', for: evening, text: 'a\nb "c" <!channel> 𝄞' },
      });
      await record.commit(wardId, { ...nothing, posts: [post] });
      expect(await record.readPost(wardId, post.key)).toEqual({ post, tries: 0 });
      expect(await record.takePost(wardId, realNow)).toEqual({ row: { post, tries: 0 } });
    });

    test('takes posts by rank, then in the order of their keys, one a second for a channel', async () => {
      const wardId = newWardId();
      const keys = ['3.handover.2', '9.card.a', '1.nudge.b', '0.nobody', '3.handover.1', '1.nudge.a'];
      await record.commit(wardId, { ...nothing, posts: keys.map((key) => card('a', { key })) });
      expect((await take(record, wardId, realNow)).post.key).toBe('0.nobody');
      expect(await record.takePost(wardId, realNow)).toEqual({ againAt: realNow + 1_000 });
      expect(await record.takePost(wardId, realNow + 999)).toEqual({ againAt: realNow + 1_000 });
      expect(await takenKeys(record, wardId, realNow + 1_000, 10)).toEqual(keys.toSorted().slice(1));
    });

    test('sends a new message though more than a hundred that stand wait to be brought up to date', async () => {
      const wardId = newWardId();
      const standing = Array.from({ length: 101 }, (_, index) =>
        card('a', { key: `0.nobody.${String(index).padStart(3, '0')}` }),
      );
      await record.commit(wardId, { ...nothing, posts: standing });
      for (const [index, { key }] of standing.entries()) {
        expect((await take(record, wardId, realNow + index * 1_000)).post.key).toBe(key);
        await record.postDone(wardId, key, { place: 'C0', id: key, hash: 'h' }, false);
      }
      const at = realNow + 102_000;
      await record.commit(wardId, { ...nothing, touchAll: true, posts: [card('a', { key: '1.nudge.a' })] });
      expect((await take(record, wardId, at)).post.key).toBe('0.nobody.000');
      expect((await take(record, wardId, at)).post.key).toBe('1.nudge.a');
    });

    test('gives people theirs while the channel is shut, and of what goes there each that doesn’t stand, by its key', async () => {
      const wardId = newWardId();
      const posts = [
        card('a', { key: '1.nudge.a' }),
        card('a', { key: '1.nudge.b' }),
        card('a', { key: '9.card.a' }),
        card('a', { key: '9.nina', to: { user: 'U0NINA' } }),
      ];
      await record.commit(wardId, { ...nothing, posts: posts.slice(0, 1) });
      await take(record, wardId, realNow);
      await record.postDone(wardId, '1.nudge.a', { place: 'C0', id: 'm0', hash: 'h' }, false);
      await record.commit(wardId, { ...nothing, touchAll: true, posts: posts.slice(1) });
      const at = realNow + 5_000;
      const takenAfter = async (wardAfter: string) => {
        const taken = await record.takePost(wardId, at, undefined, { wardAfter });
        if (!('row' in taken)) return taken;
        await record.postLeft(wardId, taken.row.post.key);
        return taken.row.post.key;
      };
      expect(await takenAfter('')).toBe('1.nudge.b');
      expect(await takenAfter('1.nudge.b')).toBe('9.card.a');
      expect(await takenAfter('9.card.a')).toBe('9.nina');
      await record.postDone(wardId, '9.nina', null, true);
      expect(await takenAfter('9.card.a')).toEqual({ againAt: null });
      expect((await take(record, wardId, at)).post.key).toBe('1.nudge.a');
    });

    test('gives one part of itself apart from the others, and says which of those have something ready', async () => {
      const wardId = newWardId();
      const keys = ['3.handover.x.000', '7.handover.x.700', '9.card.a', '2.unaccepted.x'];
      await record.commit(wardId, { ...nothing, posts: keys.map((key) => card('a', { key })) });
      const taken = async (at: number, part?: OutboxPart) => {
        const answer = await record.takePost(wardId, at, part);
        return 'row' in answer ? answer.row.post.key : answer;
      };
      expect(await taken(realNow, 'reminders')).toBe('2.unaccepted.x');
      expect(await taken(realNow + 1_000, 'reminders')).toBe('9.card.a');
      const ready = ['handovers', 'files'];
      expect(await taken(realNow + 2_000, 'reminders')).toEqual({ againAt: realNow + 30_000, ready });
      expect(await taken(realNow + 2_000, 'files')).toBe('7.handover.x.700');
      expect(await taken(realNow + 3_000, 'files')).toEqual({
        againAt: realNow + 30_000,
        ready: ['handovers'],
      });
      expect(await taken(realNow + 3_000, 'handovers')).toBe('3.handover.x.000');
      expect(await taken(realNow + 4_000)).toEqual({ againAt: realNow + 30_000 });
    });

    test('has a lane for the channel and one for each person', async () => {
      const wardId = newWardId();
      const to = { user: 'U0VERA' };
      const posts = [
        card('a', { key: '0.a', to }),
        card('a', { key: '0.b', to }),
        card('a', { key: '0.c', to: { user: 'U0VITO' } }),
        card('a', { key: '1.d' }),
      ];
      await record.commit(wardId, { ...nothing, posts });
      expect(await takenKeys(record, wardId, realNow, 1)).toEqual(['0.a', '0.c', '1.d']);
      expect(await takenKeys(record, wardId, realNow + 1_000, 1)).toEqual(['0.b']);
    });

    test('gives one post to one of many who ask at the same time', async () => {
      const wardId = newWardId();
      await record.commit(wardId, { ...nothing, posts: [card('a')] });
      const answers = await Promise.all(Array.from({ length: 10 }, () => record.takePost(wardId, realNow)));
      expect(answers.filter((answer) => 'row' in answer).length).toBe(1);
    });

    test('gives a post again 30 s after whoever took it was heard of last', async () => {
      const wardId = newWardId();
      await record.commit(wardId, { ...nothing, posts: [card('a')] });
      await take(record, wardId, realNow);
      await record.postTrying(wardId, '9.card.a', realNow + 4_000);
      expect(await record.takePost(wardId, realNow + 33_999)).toEqual({ againAt: realNow + 34_000 });
      expect(await take(record, wardId, realNow + 34_000)).toEqual({
        post: card('a'),
        tryingSince: realNow + 4_000,
        tries: 0,
      });
    });

    test('counts the lane from when the send was tried', async () => {
      const wardId = newWardId();
      await record.commit(wardId, { ...nothing, posts: [card('a'), card('b')] });
      await take(record, wardId, realNow);
      await record.postTrying(wardId, '9.card.a', realNow + 400);
      expect(await record.takePost(wardId, realNow + 1_000)).toEqual({ againAt: realNow + 1_400 });
      expect((await take(record, wardId, realNow + 1_400)).post.key).toBe('9.card.b');
    });

    test('asks again at the earliest of a lane and a waiting message', async () => {
      const wardId = newWardId();
      await record.commit(wardId, { ...nothing, posts: [card('a'), card('b')] });
      await take(record, wardId, realNow);
      await record.postAgain(wardId, '9.card.a', realNow + 400);
      expect(await record.takePost(wardId, realNow + 100)).toEqual({ againAt: realNow + 400 });
      await take(record, wardId, realNow + 1_000);
      await record.postAgain(wardId, '9.card.a', realNow + 9_000);
      expect(await record.takePost(wardId, realNow + 1_100)).toEqual({ againAt: realNow + 2_000 });
    });

    test('keeps one that was taken and left as ready as it was, and its lane as free; one that is gone stays gone', async () => {
      const wardId = newWardId();
      await record.commit(wardId, { ...nothing, posts: [card('a'), card('b')] });
      await take(record, wardId, realNow);
      await record.postLeft(wardId, '9.card.a');
      expect(await record.takePost(wardId, realNow, undefined, { wardAfter: '9.card.b' })).toEqual({
        againAt: null,
      });
      expect(await take(record, wardId, realNow)).toEqual({ post: card('a'), tries: 0 });
      await record.postDone(wardId, '9.card.a', null, true);
      await record.postLeft(wardId, '9.card.a');
      expect((await take(record, wardId, realNow + 1_000)).post.key).toBe('9.card.b');
      expect(await record.takePost(wardId, realNow + 2_000)).toEqual({ againAt: realNow + 31_000 });
    });

    test('remembers through every try when the first send may have happened', async () => {
      const wardId = newWardId();
      await record.commit(wardId, { ...nothing, posts: [card('a')] });
      for (const [tries, at] of [realNow, realNow + 5_000, realNow + 10_000].entries()) {
        const row = await take(record, wardId, at);
        expect(row).toEqual({ post: card('a'), tries, ...(tries === 0 ? {} : { tryingSince: realNow }) });
        await record.postTrying(wardId, '9.card.a', at);
        await record.postAgain(wardId, '9.card.a', at + 5_000);
        expect(await record.takePost(wardId, at + 4_999)).toEqual({ againAt: at + 5_000 });
      }
    });

    test('says where a sent post stands, and asks for nothing more', async () => {
      const { wardId } = await wardWithCard('a');
      const sent = { place: 'C0123', id: `${realNow / 1000}`, hash: 'words' };
      expect(await record.readPost(wardId, '9.card.a')).toEqual({ post: card('a'), sent, tries: 0 });
      expect(await record.takePost(wardId, realNow + 60_000)).toEqual({ againAt: null });
    });

    test('gives a sent post again when its line changes, with where it stands', async () => {
      const { wardId, log } = await wardWithCard('a');
      await record.commit(wardId, { ...nothing, lines: [lineChange('a', log, [flushed(evening)])] });
      const row = await take(record, wardId, realNow + 5_000);
      expect(row.sent).toEqual({ place: 'C0123', id: `${realNow / 1000}`, hash: 'words' });
      expect(row.tries).toBe(0);
    });

    test('looks again at a post that two held at once, since nobody knows whose words stand', async () => {
      const wardId = newWardId();
      await record.commit(wardId, {
        ...nothing,
        lines: [lineChange('a', [], [placed()])],
        posts: [card('a')],
      });
      await record.takePost(wardId, realNow);
      // The first was held up past its 30 s; the second sends and is done before it.
      await record.takePost(wardId, realNow + 31_000);
      const sent = { place: 'C0123', id: 'm1' };
      await record.postDone(wardId, '9.card.a', { ...sent, hash: 'newer' }, false);
      expect(await record.takePost(wardId, realNow + 40_000)).toEqual({ againAt: null });
      await record.postDone(wardId, '9.card.a', { ...sent, hash: 'older' }, false);
      expect(await takenKeys(record, wardId, realNow + 50_000)).toEqual(['9.card.a']);
    });

    test('brings the messages of a line up to date when time alone changed how it stands', async () => {
      const { wardId, log } = await wardWithCard('a');
      await record.commit(wardId, { ...nothing, lines: [{ ...lineChange('a', log, []), touch: true }] });
      expect(await takenKeys(record, wardId, realNow + 5_000)).toEqual(['9.card.a']);
    });

    test('gives a sent post again when its line leaves the list', async () => {
      const { wardId, log } = await wardWithCard('a');
      await record.commit(wardId, { ...nothing, lines: [lineChange('a', log, [], false)] });
      expect(await takenKeys(record, wardId, realNow + 5_000)).toEqual(['9.card.a']);
    });

    test('leaves messages of other lines alone, unless the whole ward is touched', async () => {
      const wardId = newWardId();
      const lines = ['a', 'b'].map((id) => lineChange(id, [], [placed()]));
      const both = card('a', { key: '1.nudge', lines: ['a', 'b'] });
      await record.commit(wardId, { ...nothing, lines, posts: [card('a'), card('b'), both] });
      for (const second of [0, 1, 2]) await sendNext(record, wardId, realNow + second * 1_000);
      await record.commit(wardId, { ...nothing, lines: [lineChange('a', [placed()], [flushed(evening)])] });
      const later = realNow + 60_000;
      for (const [second, key] of ['1.nudge', '9.card.a'].entries()) {
        expect((await sendNext(record, wardId, later + second * 1_000, 'new words')).post.key).toBe(key);
      }
      expect(await record.takePost(wardId, later + 10_000)).toEqual({ againAt: null });
      await record.commit(wardId, { ...nothing, touchAll: true });
      expect(await takenKeys(record, wardId, later + 20_000)).toEqual(['1.nudge', '9.card.a', '9.card.b']);
    });

    test('updates have a lane of their own beside new messages', async () => {
      const { wardId, log } = await wardWithCard('a');
      await record.commit(wardId, {
        ...nothing,
        lines: [lineChange('a', log, [flushed(evening)])],
        posts: [card('b'), card('c')],
      });
      expect(await takenKeys(record, wardId, realNow + 5_000, 1)).toEqual(['9.card.a', '9.card.b']);
      expect(await takenKeys(record, wardId, realNow + 6_000, 1)).toEqual(['9.card.c']);
    });

    test('an update that changes nothing costs its lane no time', async () => {
      const { wardId, log } = await wardWithCard('a');
      await record.commit(wardId, { ...nothing, posts: [card('b')] });
      await sendNext(record, wardId, realNow + 2_000);
      await record.commit(wardId, {
        ...nothing,
        touchAll: true,
        lines: [lineChange('a', log, [flushed(evening)])],
      });
      const at = realNow + 5_000;
      const row = await take(record, wardId, at);
      await record.postDone(wardId, row.post.key, row.sent ?? null, false);
      const next = await take(record, wardId, at);
      expect([row.post.key, next.post.key]).toEqual(['9.card.a', '9.card.b']);
      await record.postDone(wardId, next.post.key, { place: 'C0123', id: '1', hash: 'new words' }, false);
      await record.commit(wardId, { ...nothing, touchAll: true });
      expect(await record.takePost(wardId, at + 999)).toEqual({ againAt: at + 1_000 });
    });

    test('a message whose line changes while it is being sent is gone over again afterwards', async () => {
      const { wardId, log } = await wardWithCard('a');
      await record.commit(wardId, { ...nothing, touchAll: true });
      const row = await take(record, wardId, realNow + 5_000);
      await record.commit(wardId, { ...nothing, lines: [lineChange('a', log, [flushed(evening)])] });
      // Nobody else gets it meanwhile: two senders could overtake each other.
      expect(await record.takePost(wardId, realNow + 7_000)).toEqual({ againAt: realNow + 35_000 });
      await record.postDone(wardId, row.post.key, { place: 'C0123', id: '1', hash: 'old words' }, false);
      expect((await take(record, wardId, realNow + 8_000)).sent?.hash).toBe('old words');
      await record.postDone(wardId, row.post.key, { place: 'C0123', id: '1', hash: 'new words' }, false);
      expect(await record.takePost(wardId, realNow + 60_000)).toEqual({ againAt: null });
    });

    test('a settled message whose line changed meanwhile is gone over before it is dropped', async () => {
      const { wardId, log } = await wardWithCard('a');
      await record.commit(wardId, { ...nothing, touchAll: true });
      await take(record, wardId, realNow + 5_000);
      await record.commit(wardId, { ...nothing, lines: [lineChange('a', log, [flushed(evening)])] });
      await record.postDone(wardId, '9.card.a', { place: 'C0123', id: '1', hash: 'done' }, true);
      await take(record, wardId, realNow + 8_000);
      await record.postDone(wardId, '9.card.a', { place: 'C0123', id: '1', hash: 'done' }, true);
      expect(await record.readPost(wardId, '9.card.a')).toBeNull();
    });

    test('a message that was found standing, its words unknown, is brought up to date next', async () => {
      const wardId = newWardId();
      await record.commit(wardId, { ...nothing, posts: [card('a')] });
      await take(record, wardId, realNow);
      await record.postDone(wardId, '9.card.a', { place: 'C0123', id: '1', hash: '' }, false);
      expect((await take(record, wardId, realNow + 1_000)).sent).toEqual({
        place: 'C0123',
        id: '1',
        hash: '',
      });
    });

    test('a message that stands is taken again when it is to be looked at, sooner only if it was touched', async () => {
      const { wardId, log } = await wardWithCard('a');
      const sent = { place: 'C0123', id: '1', hash: 'words' };
      await record.commit(wardId, { ...nothing, touchAll: true });
      await take(record, wardId, realNow + 2_000);
      await record.postDone(wardId, '9.card.a', sent, false, realNow + 32_000);
      expect(await record.takePost(wardId, realNow + 31_999)).toEqual({ againAt: realNow + 32_000 });
      expect((await take(record, wardId, realNow + 32_000)).sent).toEqual(sent);
      await record.commit(wardId, { ...nothing, lines: [lineChange('a', log, [flushed(evening)])] });
      await record.postDone(wardId, '9.card.a', sent, false, realNow + 90_000);
      expect((await take(record, wardId, realNow + 34_000)).sent).toEqual(sent);
    });

    test('a touch does not hurry a message that waits for the platform', async () => {
      const { wardId, log } = await wardWithCard('a');
      await record.commit(wardId, { ...nothing, touchAll: true });
      await take(record, wardId, realNow + 2_000);
      await record.postAgain(wardId, '9.card.a', realNow + 60_000);
      await record.commit(wardId, { ...nothing, lines: [lineChange('a', log, [flushed(evening)])] });
      expect(await record.takePost(wardId, realNow + 59_999)).toEqual({ againAt: realNow + 60_000 });
    });

    test.each([
      ['settled', { place: 'C0123', id: '1', hash: 'done' }],
      ['refused for good', null],
    ])('drops a message that is %s, and its line touches it no more', async (_, sent) => {
      const wardId = newWardId();
      await record.commit(wardId, {
        ...nothing,
        lines: [lineChange('a', [], [placed()])],
        posts: [card('a')],
      });
      await take(record, wardId, realNow);
      await record.postDone(wardId, '9.card.a', sent, true);
      expect(await record.readPost(wardId, '9.card.a')).toBeNull();
      await record.commit(wardId, { ...nothing, lines: [lineChange('a', [placed()], [flushed(evening)])] });
      expect(await record.takePost(wardId, realNow + 60_000)).toEqual({ againAt: null });
    });

    test('what is said about a message that was dropped changes nothing', async () => {
      const wardId = newWardId();
      await record.postTrying(wardId, 'gone', realNow);
      await record.postAgain(wardId, 'gone', realNow);
      await record.postDone(wardId, 'gone', { place: 'C0123', id: '1', hash: 'x' }, false);
      expect(await record.readPost(wardId, 'gone')).toBeNull();
      expect(await record.takePost(wardId, realNow)).toEqual({ againAt: null });
    });

    test('refuses a message that is neither sent nor given up as done', async () => {
      await expect(record.postDone(newWardId(), '9.card.a', null, false)).rejects.toThrow('9.card.a');
    });

    test('finds a message to a person behind 60 of a busy channel', async () => {
      const wardId = newWardId();
      const many = Array.from({ length: 60 }, (_, n) =>
        card('a', { key: `5.n${String(n).padStart(3, '0')}` }),
      );
      await record.commit(wardId, {
        ...nothing,
        posts: [...many, card('a', { key: '9.vera', to: { user: 'U0VERA' } })],
      });
      expect(await takenKeys(record, wardId, realNow, 1)).toEqual(['5.n000', '9.vera']);
    });
  });
}
