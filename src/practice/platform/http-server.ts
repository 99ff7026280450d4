import type { Server } from 'node:http';
import type { AddressInfo } from 'node:net';

/** Listens on 127.0.0.1; gives the port, a free one for 0. @throws when it is taken. */
export async function listenOn(server: Server, port: number): Promise<number> {
  await new Promise<void>((resolve, reject) => {
    server.once('error', reject);
    server.listen(port, '127.0.0.1', () => resolve());
  });
  return (server.address() as AddressInfo).port;
}

/** Stops listening, and cuts every connection. */
export function closeServer(server: Server): Promise<void> {
  return new Promise((resolve) => {
    server.close(() => resolve());
    server.closeAllConnections();
  });
}
