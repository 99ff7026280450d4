import os from 'node:os';
import { bullmqAlarm } from '../../src/redis/bullmq-alarm.ts';
import { connect, type RedisTarget } from '../../src/redis/connections.ts';
import { type RedisFleet, startCluster } from '../support/redis-fleet.ts';
import type { TestRedis } from '../support/redis-for-tests.ts';
import { silentWatch } from './bench-ward.ts';
import { startBots } from './bot-processes.ts';
import { type Measured, ms, percentile, table } from './measured.ts';
import { type Burst, linesAWard, type Night, passScaleNight, type ServerState } from './scale-night.ts';

/** A Redis that says how it is. */
interface Server {
  info(section: string): Promise<string>;
}

/** One line of the scale: so many wards, so many processes of the bot. */
interface Step {
  wards: number;
  processes: number;
}

/** From 100 to 10,000 lines, one and four processes; `BENCH_STEPS=10000x1,10000x4` tries others: wards x processes. */
function steps(usual: string): Step[] {
  return (process.env['BENCH_STEPS'] ?? usual).split(',').map((step) => {
    const [wards = 0, processes = 1] = step.split('x').map(Number);
    return { wards, processes };
  });
}

/**
 * Whole bots in processes of their own on one Redis: how late up to a thousand nudges stand that fall due at one instant, alone and
 * beside handovers and a sweep, the processor a nudge takes all bots together, a sweep, and the memory of a bot with no ward and
 * with all of them.
 */
export async function scale(redis: TestRedis): Promise<Measured[]> {
  const client = redis.client();
  return allSteps('10x1,10x4,100x1,100x4,1000x1,1000x4', redis.connection, [client], () => client.flushall());
}

/** The same on a cluster of three masters with a replica each, and how its load is spread. */
export async function scaleOnCluster(): Promise<Measured[]> {
  const fleet: RedisFleet = await startCluster();
  try {
    const servers = fleet.ports.slice(0, 3).map((port) => fleet.server(port));
    return await allSteps('100x1,1000x1,1000x4', { url: fleet.url }, servers, () =>
      Promise.all(servers.map((server) => server.flushall())),
    );
  } finally {
    await fleet.stop();
  }
}

/** Each step; what stops one stands in its place, and those before it are not lost. Wards that stand are kept for a step of as many. */
async function allSteps(
  usual: string,
  target: RedisTarget,
  servers: readonly Server[],
  empty: () => Promise<unknown>,
): Promise<Measured[]> {
  const rows: Measured[] = [];
  let standing = 0;
  for (const step of steps(usual)) {
    if (standing !== step.wards) {
      await empty();
      standing = 0;
    }
    const one = await measure(target, step, standing, servers).catch((cause: unknown) => [
      { what: `${JSON.stringify(step)}: ${String(cause)}`, ours: '', raw: '', ratio: null, aim: '' },
    ]);
    standing = step.wards;
    process.stderr.write(`${table(one)}\n`);
    rows.push(...one);
  }
  return rows;
}

async function measure(
  target: RedisTarget,
  { wards, processes }: Step,
  standing: number,
  servers: readonly Server[],
): Promise<Measured[]> {
  const clock = { now: () => Date.now() };
  const client = connect(target, 'background');
  client.on('error', () => undefined);
  const alarm = bullmqAlarm({ target, clock, watch: silentWatch });
  const bots = await startBots(target, processes);
  try {
    const look = () => Promise.all(servers.map(serverState));
    const night = await passScaleNight(bots, { client, alarm, servers: look }, wards, standing);
    const { empty, full } = night.servers;
    const name = `${wards * linesAWard} lines, ${processes} ${processes === 1 ? 'bot' : 'bots'}`;
    return rowsOf(name, night, standing > 0).concat({
      what: `${name}: Redis, memory and processor of ${servers.length === 1 ? 'the server' : 'each master'} since the bots started${standing > 0 ? '' : ' on an empty one'}; load ${os.loadavg()[0]?.toFixed(1)}`,
      ours: full
        .map(
          ({ bytes, cpuS }, at) =>
            `${((empty[at]?.bytes ?? 0) / 1e6).toFixed(0)} → ${(bytes / 1e6).toFixed(0)} MB ${(cpuS - (empty[at]?.cpuS ?? 0)).toFixed(1)} s`,
        )
        .join(', '),
      raw: '',
      ratio: null,
      aim: '',
    });
  } finally {
    await bots.stop();
    await alarm.close();
    client.disconnect();
  }
}

function rowsOf(
  name: string,
  { empty, sweeps, alone, beside, full, rested }: Night,
  stoodBefore: boolean,
): Measured[] {
  const bare = { raw: '', ratio: null, aim: '' };
  const late = ({ lateMs }: Pick<Burst, 'lateMs'>) =>
    [0.5, 0.99, 1].map((share) => ms(percentile(lateMs, share))).join(', ');
  const lateMs = alone.flatMap((one) => one.lateMs);
  const due = alone.reduce((total, one) => total + one.due, 0);
  const cpuMs = alone.reduce((total, one) => total + one.cpuMs, 0);
  const most = (all: Night['full'], what: 'rss' | 'heap') => Math.max(...all.map((one) => one[what])) / 1e6;
  const heaps = `${most(rested, 'heap').toFixed(0)} and ${most(empty, 'heap').toFixed(0)} MB`;
  const middle = (what: 'tookMs' | 'cpuMs') =>
    percentile(
      sweeps.map((one) => one[what]),
      0.5,
    );
  return [
    {
      ...bare,
      what: `${name}: ${alone[0]?.due} nudges at one instant until they stand, p50, p99, longest (${lateMs.length} of ${due} seen)`,
      ours: late({ lateMs }),
    },
    { ...bare, what: `${name}: processor a nudge, all bots`, ours: `${(cpuMs / due).toFixed(2)} ms` },
    ...(alone.length > 1
      ? [
          {
            ...bare,
            what: `${name}: each burst by itself, p50, p99, longest and processor a nudge`,
            ours: alone.map((one) => `${late(one)}, ${(one.cpuMs / one.due).toFixed(2)} ms`).join('; '),
          },
        ]
      : []),
    {
      ...bare,
      what: `${name}: ${beside.due} nudges beside ${beside.handovers} handovers and a sweep (${beside.lateMs.length} seen); the last message of the handovers after ${ms(beside.lastHandoverMs)}`,
      ours: late(beside),
    },
    {
      ...bare,
      what: `${name}: a sweep by all bots at the same time, and processor of each`,
      ours: `${ms(middle('tookMs'))}, ${ms(middle('cpuMs'))}`,
    },
    {
      what: `${name}: memory of the largest 8 s after all this and 30 s later, against the same before ${stoodBefore ? 'there was work' : 'there was a ward or work'} (heap once collected ${heaps}); troubles ${full.reduce((total, { troubles }) => total + troubles, 0)}`,
      ours: `${most(full, 'rss').toFixed(0)} MB, ${most(rested, 'rss').toFixed(0)} MB`,
      raw: `${most(empty, 'rss').toFixed(0)} MB`,
      ratio: most(full, 'rss') / most(empty, 'rss'),
      aim: '≤ 1.3',
    },
  ];
}

async function serverState(server: Server): Promise<ServerState> {
  const [memory, cpu] = await Promise.all([server.info('memory'), server.info('cpu')]);
  const number = (text: string, name: string) =>
    Number(new RegExp(`^${name}:([\\d.]+)`, 'm').exec(text)?.[1] ?? 0);
  return {
    bytes: number(memory, 'used_memory'),
    cpuS: number(cpu, 'used_cpu_user') + number(cpu, 'used_cpu_sys'),
  };
}
