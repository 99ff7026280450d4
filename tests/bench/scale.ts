import { type ChildProcess, fork } from 'node:child_process';
import { once } from 'node:events';
import os from 'node:os';
import { Worker } from 'node:worker_threads';
import { forEachOf } from '../../src/app/few-at-once.ts';
import { practiceWorld } from '../../src/practice/practice-world.ts';
import { connect, type RedisTarget } from '../../src/redis/connections.ts';
import { redisRecord } from '../../src/redis/redis-record.ts';
import type { RecordClient } from '../../src/redis/script.ts';
import { type RedisFleet, startCluster } from '../support/redis-fleet.ts';
import type { TestRedis } from '../support/redis-for-tests.ts';
import { caredForLine, fillWard, policyBetweenShifts } from './bench-ward.ts';
import type { ChildState, ChildTask } from './bot-child.ts';
import type { Noticed } from './hospital-thread.ts';
import { type Measured, ms, percentile, table } from './measured.ts';

const linesAWard = 10;
/** At most so many wards have a nudge, all due at one instant. */
const mostNudges = 1_000;
const settleMs = 15_000;
/** Wards by which the speed of filling is known. */
const probeWards = 50;
const filledAtOnce = 50;

/** A Redis that says how it is. */
interface Server {
  info(section: string): Promise<string>;
}

const { team } = practiceWorld();

/** One line of the scale: so many wards, so many processes of the bot. */
interface Step {
  wards: number;
  processes: number;
}

/** From 100 to 100,000 lines, and four processes; `BENCH_STEPS=1000x1,1000x4` tries others: wards x processes. */
function steps(usual: string): Step[] {
  return (process.env['BENCH_STEPS'] ?? usual).split(',').map((step) => {
    const [wards = 0, processes = 1] = step.split('x').map(Number);
    return { wards, processes };
  });
}

/**
 * Whole bots in processes of their own on one Redis: how late a thousand nudges stand that fall due at one instant, the processor a
 * nudge takes all bots together, and the memory of a bot with no ward and with all of them.
 */
export async function scale(redis: TestRedis): Promise<Measured[]> {
  const rows: Measured[] = [];
  for (const step of steps('10x1,1000x1,1000x4,10000x1,10000x4')) {
    await redis.client().flushall();
    rows.push(...(await measure(redis.connection, step, [redis.client()])));
  }
  return rows;
}

/** The same on a cluster of three masters with a replica each, and how its load is spread. */
export async function scaleOnCluster(): Promise<Measured[]> {
  const rows: Measured[] = [];
  for (const step of steps('1000x1,1000x4')) {
    const fleet: RedisFleet = await startCluster();
    try {
      const timer = await fleet.masterOf('{timer}');
      const masters = fleet.ports.slice(0, 3);
      const servers = masters.map((port) => fleet.server(port));
      const cpu = () => Promise.all(servers.map(async (server) => cpuOf(await server.info('cpu'))));
      const before = await cpu();
      rows.push(...(await measure({ url: fleet.url }, step, servers)));
      const after = await cpu();
      rows.push({
        what: 'processor of each master of the cluster in that time; the one marked has the queues',
        ours: masters
          .map(
            (port, at) =>
              `${((after[at] ?? 0) - (before[at] ?? 0)).toFixed(1)} s${port === timer ? ' (queues)' : ''}`,
          )
          .join(', '),
        raw: '',
        ratio: null,
        aim: '',
      });
    } finally {
      await fleet.stop();
    }
  }
  return rows;
}

/** Seconds of processor that a server has used. */
function cpuOf(info: string): number {
  const seconds = (name: string) => Number(new RegExp(`${name}:([\\d.]+)`).exec(info)?.[1] ?? 0);
  return seconds('used_cpu_user') + seconds('used_cpu_sys');
}

/** The bots of one step, and the people they write to; what stops a step stands in its place, and those before it are not lost. */
async function measure(target: RedisTarget, step: Step, servers: readonly Server[]): Promise<Measured[]> {
  const hospital = new Worker(new URL('./hospital-thread.ts', import.meta.url), { execArgv: [] });
  const [{ port: platformPort }] = (await once(hospital, 'message')) as [{ port: number }];
  const stood = new Map<string, number>();
  hospital.on('message', (noticed: Noticed) => {
    if (noticed.what === 'posted' && noticed.kind === 'nudge') stood.set(noticed.ward, noticed.atMs);
  });
  const client = connect(target, 'background');
  client.on('error', () => undefined);
  const bots: ChildProcess[] = [];
  try {
    for (let count = 0; count < step.processes; count++)
      bots.push(await startBot({ target, platformPort, sweepEveryMs: 5_000 }));
    const rows = await nightOf(step, bots, client, stood, servers);
    process.stderr.write(`${table(rows)}\n`);
    return rows;
  } catch (cause) {
    return [{ what: `${JSON.stringify(step)}: ${String(cause)}`, ours: '', raw: '', ratio: null, aim: '' }];
  } finally {
    for (const bot of bots) bot.kill('SIGKILL');
    await hospital.terminate();
    client.disconnect();
  }
}

async function nightOf(
  { wards, processes }: Step,
  bots: readonly ChildProcess[],
  client: RecordClient,
  stood: ReadonlyMap<string, number>,
  servers: readonly Server[],
): Promise<Measured[]> {
  const states = () => Promise.all(bots.map(stateOf));
  await pause(settleMs);
  const idle = await states();
  const itsPolicy = policyBetweenShifts(Date.now());
  const record = redisRecord({ client, defaultPolicy: itsPolicy });
  const nudges = Math.min(wards, mostNudges);
  const fill = (from: number, to: number, at: number, first: 'manual' | 'continuous') =>
    forEachOf(
      Array.from({ length: to - from }, (_, index) => from + index),
      filledAtOnce,
      (ward) => {
        const lines = Array.from({ length: linesAWard }, (_, line) =>
          caredForLine(`l${line}`, at, line === 0 ? first : 'continuous'),
        );
        return fillWard(record, `${team.id}.C0S${ward}`, lines, Date.now(), itsPolicy);
      },
    );
  await fill(nudges, wards, Date.now(), 'continuous');
  const beganMs = Date.now();
  await fill(wards, wards + probeWards, Date.now(), 'continuous');
  const fillMs = ((Date.now() - beganMs) / probeWards) * nudges * 3;
  const dueAt = Date.now() + 30_000 + fillMs;
  await fill(0, nudges, dueAt - itsPolicy.flushEveryMin * 60_000, 'manual');
  if (Date.now() > dueAt - 15_000) throw new Error('the wards took too long to fill for this machine');
  await pause(dueAt - 10_000 - Date.now());
  const quiet = await states();
  await pause(dueAt - 200 - Date.now());
  const before = await states();
  while (stood.size < nudges && Date.now() < dueAt + 180_000) await pause(100);
  const tookMs = Date.now() - dueAt;
  const after = await states();
  await pause(settleMs);
  const atLast = await states();
  const memory = await Promise.all(servers.map(async (server) => memoryOf(await server.info('memory'))));

  const cpu = (all: readonly ChildState[]) => all.reduce((total, { cpuMs }) => total + cpuMs, 0);
  const idleShare = (cpu(before) - cpu(quiet)) / 9_800;
  const late = [...stood.values()].map((atMs) => atMs - dueAt);
  const most = (all: readonly ChildState[], what: 'rss' | 'heap') =>
    Math.max(...all.map((one) => one[what])) / 1e6;
  const name = `${wards * linesAWard} lines, ${processes} ${processes === 1 ? 'bot' : 'bots'}`;
  const [load = 0] = os.loadavg();
  const troubles = atLast.reduce((total, one) => total + one.troubles, 0);
  const bare = { raw: '', ratio: null, aim: '' };
  return [
    {
      ...bare,
      what: `${name}: ${nudges} nudges at one instant until they stand, p50, p99, longest; seen ${stood.size}; load ${load.toFixed(1)}`,
      ours: [0.5, 0.99, 1].map((share) => ms(percentile(late, share))).join(', '),
    },
    {
      ...bare,
      what: `${name}: processor a nudge, above that of the seconds before (${(100 * idleShare).toFixed(0)} % of one)`,
      ours: `${((cpu(after) - cpu(before) - idleShare * (tookMs + 200)) / nudges).toFixed(2)} ms`,
    },
    {
      what: `${name}: memory of the largest, against the same with no ward (heap once collected ${most(atLast, 'heap').toFixed(0)} and ${most(idle, 'heap').toFixed(0)} MB); Redis ${memory.map((bytes) => `${(bytes / 1e6).toFixed(0)} MB`).join(', ')}; troubles ${troubles}`,
      ours: `${most(atLast, 'rss').toFixed(0)} MB`,
      raw: `${most(idle, 'rss').toFixed(0)} MB`,
      ratio: most(atLast, 'rss') / most(idle, 'rss'),
      aim: '≤ 1.3',
    },
  ];
}

function memoryOf(info: string): number {
  return Number(/used_memory:(\d+)/.exec(info)?.[1] ?? 0);
}

async function startBot(task: ChildTask): Promise<ChildProcess> {
  const child = fork(new URL('./bot-child.ts', import.meta.url), [JSON.stringify(task)], {
    execArgv: ['--expose-gc'],
  });
  await once(child, 'message');
  return child;
}

async function stateOf(bot: ChildProcess): Promise<ChildState> {
  const answer = once(bot, 'message');
  bot.send('state');
  const [state] = (await answer) as [ChildState];
  return state;
}

function pause(forMs: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, Math.max(0, forMs)));
}
