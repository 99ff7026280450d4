import { once } from 'node:events';
import { createServer } from 'node:net';

/**
 * Below the ports that Linux gives to connections by itself (32768 on), so that none is taken between our look and its use. Each
 * worker has its own.
 */
const first = 20_000 + (Number(process.env.VITEST_POOL_ID ?? 0) % 8) * 1_500;
const ofOneWorker = 1_500;
let asked = (process.pid * 37) % ofOneWorker;

/** Loopback ports that nothing listens on now, and that this process was not given before. */
export async function freePorts(count: number): Promise<number[]> {
  const ports: number[] = [];
  while (ports.length < count) {
    asked += 1;
    const port = first + (asked % ofOneWorker);
    if (await isFree(port)) ports.push(port);
  }
  return ports;
}

/** One such port. */
export async function freePort(): Promise<number> {
  const [port = 0] = await freePorts(1);
  return port;
}

async function isFree(port: number): Promise<boolean> {
  const server = createServer();
  const listening = new Promise<boolean>((resolve) => {
    server.once('error', () => resolve(false));
    server.listen(port, '127.0.0.1', () => resolve(true));
  });
  if (!(await listening)) return false;
  server.close();
  await once(server, 'close');
  return true;
}
