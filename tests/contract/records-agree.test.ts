import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Change, PostRow, WardRecord } from '../../src/app/ports.ts';
import { foldLine } from '../../src/domain/fold/fold-line.ts';
import type { Entry } from '../../src/domain/record/entry.ts';
import { redisRecord } from '../../src/redis/redis-record.ts';
import { memoryRecord } from '../support/memory-record.ts';
import * as fc from '../support/properties.ts';
import { startTestRedis, type TestRedis } from '../support/redis-for-tests.ts';
import {
  card,
  evening,
  flushed,
  lineChange,
  onCall,
  placed,
  policy,
  realNow,
  wardChange,
} from './ward-changes.ts';

/** One thing somebody does to a record; lines and posts are picked from a handful, so that they meet. */
type Act =
  | {
      do: 'commit';
      lines: string[];
      behind: number;
      listed: boolean;
      ward: boolean;
      once?: number;
      wake?: number;
      post?: string;
      touchAll: boolean;
    }
  | { do: 'take' }
  | { do: 'try' | 'again' | 'unknown' | 'leave' }
  | { do: 'done'; hash: string; settled: boolean }
  | { do: 'refuse' }
  | { do: 'wait'; ms: number }
  | { do: 'repair'; wakes: Record<string, number> };

const lineIds = ['a', 'b', 'c'];
const instant = fc.integer({ min: 0, max: 5 }).map((minute) => evening + minute * 60_000);

const act: fc.Arbitrary<Act> = fc.oneof(
  {
    weight: 6,
    arbitrary: fc.record<Extract<Act, { do: 'commit' }>>(
      {
        do: fc.constant('commit' as const),
        lines: fc.uniqueArray(fc.constantFrom(...lineIds), { maxLength: 3 }),
        behind: fc.constantFrom(0, 0, 0, 0, 1),
        listed: fc.boolean(),
        ward: fc.boolean(),
        once: fc.nat(3),
        wake: instant,
        post: fc.constantFrom('0.x', '0.y', '1.z', '9.a'),
        touchAll: fc.constantFrom(false, false, true),
      },
      { requiredKeys: ['do', 'lines', 'behind', 'listed', 'ward', 'touchAll'] },
    ),
  },
  { weight: 6, arbitrary: fc.constant<Act>({ do: 'take' }) },
  {
    weight: 2,
    arbitrary: fc.constantFrom<Act>({ do: 'try' }, { do: 'again' }, { do: 'unknown' }, { do: 'refuse' }),
  },
  {
    weight: 4,
    arbitrary: fc.record({
      do: fc.constant('done' as const),
      hash: fc.constantFrom('h1', 'h2'),
      settled: fc.boolean(),
    }),
  },
  {
    weight: 4,
    arbitrary: fc.record({ do: fc.constant('wait' as const), ms: fc.constantFrom(400, 1_000, 30_000) }),
  },
  {
    weight: 1,
    arbitrary: fc.record({
      do: fc.constant('repair' as const),
      wakes: fc.dictionary(fc.constantFrom('a', 'b', 'ward'), instant),
    }),
  },
);

/** Does all acts to a record, and says everything it answered. */
async function answers(record: WardRecord, wardId: string, acts: readonly Act[]): Promise<unknown[]> {
  const said: unknown[] = [];
  const taken: PostRow[] = [];
  let now = realNow;
  let number = 0;
  for (const one of acts) {
    const key = taken.at(-1)?.post.key ?? '0.x';
    switch (one.do) {
      case 'commit': {
        const lines: Change['lines'] = [];
        for (const id of one.lines) {
          const log = await record.readLog(wardId, id);
          const seen: Entry[] = log.slice(0, log.length - one.behind);
          const told = evening + ++number;
          lines.push(lineChange(id, seen, [seen.length === 0 ? placed(told) : flushed(told)], one.listed));
        }
        const wardLog = await record.readWardLog(wardId);
        said.push(
          await record.commit(wardId, {
            lines,
            ...(one.ward ? { ward: wardChange(wardId, wardLog, [onCall(`vet ${++number}`)]) } : {}),
            ...(one.once === undefined ? {} : { once: `press ${one.once}` }),
            wakes: Object.fromEntries([...one.lines, 'ward'].map((member) => [member, one.wake ?? null])),
            posts:
              one.post === undefined
                ? []
                : [
                    card('a', {
                      key: one.post,
                      lines: one.lines,
                      to: one.post === '0.y' ? { user: 'U0VERA' } : 'ward',
                    }),
                  ],
            touchAll: one.touchAll,
          }),
        );
        break;
      }
      case 'take': {
        const answer = await record.takePost(wardId, now);
        if ('row' in answer) taken.push(answer.row);
        said.push(answer);
        break;
      }
      case 'try':
        await record.postTrying(wardId, key, now);
        break;
      case 'again':
        await record.postAgain(wardId, key, now + 2_000);
        break;
      case 'unknown':
        await record.postDone(wardId, key, { place: 'C', id: key, hash: '' }, false);
        break;
      case 'refuse':
        await record.postDone(wardId, key, null, true);
        break;
      case 'done':
        await record.postDone(wardId, key, { place: 'C', id: key, hash: one.hash }, one.settled);
        break;
      case 'wait':
        now += one.ms;
        break;
      case 'repair':
        said.push(await record.repairWakes(wardId, one.wakes));
        break;
      case 'leave':
        taken.pop();
        break;
    }
    said.push(await record.readWard(wardId), await record.nextWake(wardId));
    for (const post of ['0.x', '0.y', '1.z', '9.a']) said.push(await record.readPost(wardId, post));
  }
  for (const id of lineIds) {
    const log = await record.readLog(wardId, id);
    const line = await record.readLine(wardId, id);
    expect(line).toEqual(log.length > 0 ? foldLine(id, log) : null);
    said.push(log, line);
  }
  return said;
}

describe('the record in memory and the one on Redis', () => {
  let redis: TestRedis;
  let onRedis: WardRecord;
  beforeAll(async () => {
    redis = await startTestRedis(['--appendonly', 'no']);
    onRedis = redisRecord({ client: redis.client(), defaultPolicy: policy });
  });
  afterAll(() => redis.stop());

  test('answer the same to whatever is done to them', async () => {
    let wards = 0;
    await fc.assert(
      fc.asyncProperty(fc.array(act, { minLength: 5, maxLength: 40 }), async (acts) => {
        const wardId = `T01.C${++wards}`;
        expect(await answers(onRedis, wardId, acts)).toEqual(
          await answers(memoryRecord(policy), wardId, acts),
        );
      }),
      { numRuns: 150 },
    );
  });
});
