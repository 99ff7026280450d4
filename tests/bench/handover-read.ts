import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { handoverPosts, restOfHandover } from '../../src/app/handover-posts.ts';
import { readHandover } from '../../src/app/handover-record.ts';
import { composeMessage } from '../../src/chat/messages/compose.ts';
import { redisRecord } from '../../src/redis/redis-record.ts';
import type { TestRedis } from '../support/redis-for-tests.ts';
import { caredForLine, fillWard, policy } from './bench-ward.ts';
import { type Measured, ms, percentile } from './measured.ts';

/** The engine's own collector, so that what is held can be told from what is only not yet collected. */
function garbageCollector(): () => void {
  setFlagsFromString('--expose-gc');
  return runInNewContext('gc') as () => void;
}

const wardId = 'T0BENCH.C0HANDOVER';
const lineCount = 200;
const runs = 15;
/** Handovers held at once to weigh one. */
const copies = 10;

/** A handover of 200 lines: its reading, and all of it with every message composed, against a pipelined read of the same keys. */
export async function handoverRead(redis: TestRedis): Promise<Measured[]> {
  const client = redis.client();
  const record = redisRecord({ client, defaultPolicy: policy });
  const at = Date.now() - 3_600_000;
  const ids = Array.from({ length: lineCount }, (_, index) => `h${index}`);
  await fillWard(
    record,
    wardId,
    ids.map((id) => caredForLine(id, at, 'manual')),
    at,
  );
  const names = { of: async (user: string) => user };

  const rawRead = async () => {
    const pipeline = client
      .pipeline()
      .get(`{${wardId}}:ward`)
      .llen(`{${wardId}}:log`)
      .smembers(`{${wardId}}:lines`);
    for (const id of ids) pipeline.get(`{${wardId}}:line:${id}`).llen(`{${wardId}}:line:${id}:log`);
    await pipeline.exec();
  };
  const read = () => record.readWard(wardId);
  const whole = async () => {
    const view = await record.readWard(wardId);
    const now = Date.now();
    const [first] = handoverPosts(view, now, now);
    if (!first) return [];
    // Another object, so that nothing kept of it is taken.
    const handedOver = await readHandover({ ...record }, wardId, first);
    const made = { ...view, handedOver };
    const message = await composeMessage(first, made, names, now);
    const messages = [message];
    for (const post of restOfHandover(first, handedOver, message.pages ?? { channel: 1, visits: 1 }, '1.0'))
      messages.push(await composeMessage(post, made, names, now));
    return messages;
  };
  const median = async (work: () => Promise<unknown>) => {
    const times: number[] = [];
    for (let run = 0; run < runs + 3; run++) {
      const began = performance.now();
      await work();
      if (run >= 3) times.push(performance.now() - began);
    }
    return percentile(times, 0.5);
  };
  const raw = await median(rawRead);
  const readMs = await median(read);
  const wholeMs = await median(whole);
  const collect = garbageCollector();
  const held = () => {
    collect();
    collect();
    return process.memoryUsage().heapUsed;
  };
  const before = held();
  const kept: { view: unknown; messages: unknown[] }[] = [];
  for (let copy = 0; copy < copies; copy++) kept.push({ view: await read(), messages: await whole() });
  const heapMb = (held() - before) / 1e6 / copies;
  const messageCount = kept[0]?.messages.length ?? 0;
  return [
    {
      what: 'handover of 200 lines, its data read and ready',
      ours: ms(readMs),
      raw: ms(raw),
      ratio: readMs / raw,
      aim: '≤ 2',
    },
    {
      what: `the same with every log read, the visits of a shift foretold and ${messageCount} messages composed; lines and messages hold ${heapMb.toFixed(1)} MB`,
      ours: ms(wholeMs),
      raw: ms(raw),
      ratio: wholeMs / raw,
      aim: '',
    },
  ];
}
