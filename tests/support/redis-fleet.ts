import type { ChildProcess } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { Redis } from 'ioredis';
import { findRedisServer } from '../../src/redis/redis-server-program.ts';
import { type Cable, layCable } from './cable.ts';
import { freePorts } from './free-ports.ts';
import { endServer, startServer } from './server-processes.ts';

/** Several real servers on loopback ports, of which one may be killed or held still. */
export interface RedisFleet {
  /** What REDIS_URL would say. */
  url: string;
  /** The port of the server that takes writes to `key` now, as the others see it. */
  masterOf(key: string): Promise<number>;
  /** A plain connection to one server. */
  server(port: number): Redis;
  kill(port: number): Promise<void>;
  /** Holds a server still, as a hung machine or a cut cable would; sockets stay open. */
  pause(port: number): void;
  resume(port: number): void;
  ports: number[];
  stop(): Promise<void>;
}

/** How long a server is silent before the others take it for dead, ms. */
const silentMs = 1_000;

const kept = ['appendonly yes', 'appendfsync always', 'maxmemory-policy noeviction', 'hz 100'];

/** One master with two replicas, watched by three sentinels. */
export async function startSentinels(): Promise<RedisFleet> {
  const [port, ...replicaPorts] = (await freePorts(3)) as [number, number, number];
  const fleet = makeFleet();
  await fleet.start(port, kept);
  return watchedBySentinels(fleet, port, replicaPorts);
}

/** The same, with the master at the end of a cable: all that speak to it do so over that. */
export async function startSentinelsOnCable(): Promise<RedisFleet & { cable: Cable }> {
  const [port, ...replicaPorts] = (await freePorts(3)) as [number, number, number];
  const cable = await layCable(port);
  const fleet = makeFleet();
  await fleet.start(port, [...kept, 'replica-announce-ip 127.0.0.1', `replica-announce-port ${cable.port}`]);
  const watched = await watchedBySentinels(fleet, cable.port, replicaPorts);
  const stop = async () => {
    cable.stop();
    await watched.stop();
  };
  return { ...watched, cable, stop };
}

/** Replicas and sentinels for a master that is reached at this port. */
async function watchedBySentinels(
  fleet: ReturnType<typeof makeFleet>,
  masterPort: number,
  replicaPorts: readonly number[],
): Promise<RedisFleet> {
  for (const port of replicaPorts) await fleet.start(port, [...kept, `replicaof 127.0.0.1 ${masterPort}`]);
  for (const port of replicaPorts)
    await until('a replica to be in step', async () =>
      (await fleet.server(port).info('replication')).includes('master_link_status:up'),
    );
  const sentinelPorts = await freePorts(3);
  for (const port of sentinelPorts)
    await fleet.start(
      port,
      [
        `sentinel monitor ward 127.0.0.1 ${masterPort} 2`,
        `sentinel down-after-milliseconds ward ${silentMs}`,
        'sentinel failover-timeout ward 5000',
        'sentinel parallel-syncs ward 2',
      ],
      ['--sentinel'],
    );
  const asked = fleet.server(sentinelPorts[0] ?? 0);
  await until('the sentinels to know each other and the replicas', async () => {
    const master = fields(await asked.call('SENTINEL', 'MASTER', 'ward'));
    return master['num-other-sentinels'] === '2' && master['num-slaves'] === '2';
  });
  return {
    ...fleet,
    url: `redis+sentinel://${sentinelPorts.map((port) => `127.0.0.1:${port}`).join(',')}/ward`,
    ports: [masterPort, ...replicaPorts],
    masterOf: async () =>
      Number(((await asked.call('SENTINEL', 'GET-MASTER-ADDR-BY-NAME', 'ward')) as string[])[1]),
  };
}

/** Where each server of a cluster listens, to clients and to the other servers, and what it announces. */
interface ClusterPorts {
  own: readonly number[];
  ownBus: readonly number[];
  announced: readonly number[];
  announcedBus: readonly number[];
}

/** Three masters with a replica each. */
export async function startCluster(): Promise<RedisFleet> {
  const ports = await freePorts(12);
  const [own, ownBus] = [ports.slice(0, 6), ports.slice(6)];
  return clusterAt({ own, ownBus, announced: own, announcedBus: ownBus });
}

/** The same, with every server at the end of two cables, for clients and for the other servers: all speak to it over those. */
export async function startClusterOnCables(): Promise<
  RedisFleet & {
    /** Cuts a server off, by the port that it announces: from all, or from the other servers alone. */
    cutOff(port: number, from: 'peers' | 'all'): Promise<void>;
    mend(): void;
  }
> {
  const ports = await freePorts(12);
  const [own, ownBus] = [ports.slice(0, 6), ports.slice(6)];
  const cables = await Promise.all(own.map(layCable));
  const busCables = await Promise.all(ownBus.map(layCable));
  const announced = cables.map((cable) => cable.port);
  const announcedBus = busCables.map((cable) => cable.port);
  const fleet = await clusterAt({ own, ownBus, announced, announcedBus });
  const all = [...cables, ...busCables];
  return {
    ...fleet,
    async cutOff(port, from) {
      const at = announced.indexOf(port);
      const id = String(await fleet.server(own[at] ?? 0).call('CLUSTER', 'MYID'));
      cables[at]?.cut(from);
      busCables[at]?.cut('all');
      // What it says to the others goes over their cables; every message has its sender's id at this place.
      for (const cable of busCables.toSpliced(at, 1)) cable.cut((said) => said.startsWith(id, 40));
    },
    mend() {
      for (const cable of all) cable.mend();
    },
    async stop() {
      for (const cable of all) cable.stop();
      await fleet.stop();
    },
  };
}

async function clusterAt({
  own: servers,
  ownBus,
  announced,
  announcedBus,
}: ClusterPorts): Promise<RedisFleet> {
  const fleet = makeFleet();
  for (const [index, port] of servers.entries())
    await fleet.start(port, [
      ...kept,
      'cluster-enabled yes',
      `cluster-node-timeout ${silentMs}`,
      `cluster-port ${ownBus[index]}`,
      'cluster-announce-ip 127.0.0.1',
      `cluster-announce-port ${announced[index]}`,
      `cluster-announce-bus-port ${announcedBus[index]}`,
    ]);
  const clients = servers.map((port) => fleet.server(port));
  const ids = await Promise.all(clients.map(async (client) => String(await client.call('CLUSTER', 'MYID'))));
  for (const [index, client] of clients.slice(0, 3).entries()) {
    const [from, to] = [Math.ceil((index * 16_384) / 3), Math.ceil(((index + 1) * 16_384) / 3) - 1];
    await client.call('CLUSTER', 'ADDSLOTSRANGE', String(from), String(to));
    await client.call('CLUSTER', 'SET-CONFIG-EPOCH', String(index + 1));
  }
  for (const [index, port] of announced.entries())
    if (index > 0)
      await clients[0]?.call('CLUSTER', 'MEET', '127.0.0.1', String(port), String(announcedBus[index]));
  const everyoneSays = (words: string) =>
    until(`all to say ${words}`, async () => {
      const infos = await Promise.all(
        clients.map(async (client) => String(await client.call('CLUSTER', 'INFO'))),
      );
      return infos.every((info) => info.includes(words));
    });
  await everyoneSays('cluster_known_nodes:6');
  for (const [index, client] of clients.slice(3).entries())
    await until('a replica to take its master', () =>
      client.call('CLUSTER', 'REPLICATE', ids[index] ?? '').then(
        () => true,
        () => false,
      ),
    );
  await everyoneSays('cluster_state:ok');
  for (const client of clients.slice(3))
    await until('a replica to be in step', async () =>
      (await client.info('replication')).includes('master_link_status:up'),
    );
  return {
    ...fleet,
    url: `redis+cluster://${announced.map((port) => `127.0.0.1:${port}`).join(',')}`,
    ports: [...announced],
    async masterOf(key) {
      const said = await Promise.all(clients.map((client) => masterBy(client, key).catch(() => null)));
      const votes = Map.groupBy(
        said.filter((port) => port !== null),
        (port) => port,
      );
      const [most] = [...votes.values()].toSorted((a, b) => b.length - a.length);
      if (most?.[0] === undefined) throw new Error(`no server of the cluster knows who has ${key}`);
      return most[0];
    },
  };
}

/** Who has a key's slot, by one server: one that was cut off may still name itself. */
async function masterBy(server: Redis, key: string): Promise<number | null> {
  const slot = Number(await server.call('CLUSTER', 'KEYSLOT', key));
  const ranges = (await server.call('CLUSTER', 'SLOTS')) as [number, number, [string, number]][];
  return ranges.find(([from, to]) => slot >= from && slot <= to)?.[2][1] ?? null;
}

function makeFleet() {
  const program = findRedisServer();
  const folder = mkdtempSync(path.join(os.tmpdir(), 'dicrotic-fleet-'));
  const children = new Map<number, ChildProcess>();
  const clients = new Map<number, Redis>();
  const server = (port: number) => {
    const known = clients.get(port);
    if (known) return known;
    const client = new Redis({
      host: '127.0.0.1',
      port,
      retryStrategy: () => 20,
      enableReadyCheck: false,
      // A server that is held still or gone answers nothing: whoever asks goes on.
      commandTimeout: 500,
      maxRetriesPerRequest: 0,
    });
    client.on('error', () => {});
    clients.set(port, client);
    return client;
  };
  return {
    server,
    async start(port: number, lines: readonly string[], extra: readonly string[] = []) {
      const own = path.join(folder, String(port));
      mkdirSync(own);
      const conf = path.join(own, 'redis.conf');
      writeFileSync(
        conf,
        [`port ${port}`, 'bind 127.0.0.1', `dir ${own}`, 'save ""', ...lines, ''].join('\n'),
      );
      const child = startServer(program, [conf, ...extra]);
      children.set(port, child);
      await until(`the server on ${port}`, () =>
        server(port)
          .ping()
          .then(
            () => true,
            () => false,
          ),
      );
    },
    kill: (port: number) => endServer(children.get(port)),
    pause: (port: number) => void children.get(port)?.kill('SIGSTOP'),
    resume: (port: number) => void children.get(port)?.kill('SIGCONT'),
    async stop() {
      for (const client of clients.values()) client.disconnect();
      for (const child of children.values()) await endServer(child);
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** Asks again and again; throws after 20 s. */
export async function until(what: string, ask: () => Promise<boolean>): Promise<void> {
  const giveUpAt = Date.now() + 60_000;
  while (!(await ask())) {
    if (Date.now() > giveUpAt) throw new Error(`waited 60 s for ${what}`);
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
}

function fields(reply: unknown): Record<string, string> {
  const list = reply as string[];
  return Object.fromEntries(list.flatMap((name, at) => (at % 2 === 0 ? [[name, list[at + 1] ?? '']] : [])));
}
