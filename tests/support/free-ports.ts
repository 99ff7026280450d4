import { once } from 'node:events';
import { type AddressInfo, createServer } from 'node:net';

/** Loopback ports that nothing listens on now; all are held until the last is found, so no two are the same. */
export async function freePorts(count: number): Promise<number[]> {
  const servers = Array.from({ length: count }, () => createServer());
  await Promise.all(
    servers.map(async (server) => {
      server.listen(0, '127.0.0.1');
      await once(server, 'listening');
    }),
  );
  const ports = servers.map((server) => (server.address() as AddressInfo).port);
  await Promise.all(
    servers.map(async (server) => {
      server.close();
      await once(server, 'close');
    }),
  );
  return ports;
}

/** One such port. */
export async function freePort(): Promise<number> {
  const [port = 0] = await freePorts(1);
  return port;
}
