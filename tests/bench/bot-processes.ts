import { type ChildProcess, fork } from 'node:child_process';
import { once } from 'node:events';
import path from 'node:path';
import { Worker } from 'node:worker_threads';
import type { RedisTarget } from '../../src/redis/connections.ts';
import type { Asked, ChildState, ChildSweep, ChildTask } from './bot-child.ts';
import type { Noticed } from './hospital-thread.ts';

const memoryFile = path.resolve(import.meta.dirname, '../../src/bootstrap/small-memory.mjs');
const { smallMemory } = (await import(memoryFile)) as {
  smallMemory: { flags: string[]; env: Record<string, string> };
};

const handsOverItself = process.env['BENCH_HANDOVERS_IN'] === 'bot';

/** Bots in processes of their own, and the platform that they post to. */
export interface Bots {
  /** When a ward's nudge first stood, ms, by ward. */
  nudged: ReadonlyMap<string, number>;
  /** When each message of a handover stood, ms. */
  handedOver: readonly number[];
  states(asked?: 'state' | 'collected'): Promise<ChildState[]>;
  /** All at the same time. */
  sweep(): Promise<ChildSweep[]>;
  /** These were emptied on purpose: a late look at one is no loss. */
  emptied(wards: readonly string[]): Promise<unknown>;
  stop(): Promise<void>;
}

/** Starts so many bots, on Node as `npm start` has it; `BENCH_NODE_FLAGS` are words for Node instead, none where it's blank. */
export async function startBots(target: RedisTarget, count: number): Promise<Bots> {
  const hospital = new Worker(new URL('./hospital-thread.ts', import.meta.url), { execArgv: [] });
  const [{ port: platformPort }] = (await once(hospital, 'message')) as [{ port: number }];
  const nudged = new Map<string, number>();
  const handedOver: number[] = [];
  hospital.on('message', (noticed: Noticed) => {
    if (noticed.what !== 'posted') return;
    if (noticed.kind === 'nudge' && !nudged.has(noticed.ward)) nudged.set(noticed.ward, noticed.atMs);
    if (noticed.kind === 'handover') handedOver.push(noticed.atMs);
  });
  const children: ChildProcess[] = [];
  for (let index = 0; index < count; index++)
    children.push(await startBot({ target, platformPort, handsOverItself }));
  let asks = 0;
  const ask = <T>(child: ChildProcess, what: Asked['what'], wards: readonly string[] = []) =>
    new Promise<T>((resolve) => {
      const id = ++asks;
      const hear = (said: { id: number; answer: T }) => {
        if (said.id !== id) return;
        child.off('message', hear);
        resolve(said.answer);
      };
      child.on('message', hear);
      child.send({ id, what, wards } satisfies Asked);
    });
  return {
    nudged,
    handedOver,
    states: (asked = 'state') => Promise.all(children.map((child) => ask<ChildState>(child, asked))),
    sweep: () => Promise.all(children.map((child) => ask<ChildSweep>(child, 'sweep'))),
    emptied: (wards) => Promise.all(children.map((child) => ask(child, 'emptied', wards))),
    async stop() {
      for (const child of children) child.kill('SIGKILL');
      await hospital.terminate();
    },
  };
}

async function startBot(task: ChildTask): Promise<ChildProcess> {
  const asked = process.env['BENCH_NODE_FLAGS'];
  const flags = asked?.split(' ').filter((flag) => flag !== '') ?? smallMemory.flags;
  const env = asked === undefined ? { ...smallMemory.env, ...process.env } : process.env;
  const child = fork(new URL('./bot-child.ts', import.meta.url), [JSON.stringify(task)], {
    execArgv: ['--expose-gc', ...flags],
    env,
  });
  await once(child, 'message');
  return child;
}
