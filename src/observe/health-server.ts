import { createServer, type Server } from 'node:http';
import type { HealthHandler } from './health-routes.ts';

/** A server that answers the operator's routes and nothing else. */
export interface HealthServer {
  /** The port it listens on; chosen by the system when 0 was asked for. */
  port: number;
  stop(): Promise<void>;
}

function listenFault(error: NodeJS.ErrnoException, port: number): Error {
  const what =
    error.code === 'EADDRINUSE'
      ? `Port ${port} is already in use`
      : `Port ${port} cannot be opened (${error.code ?? 'unknown fault'})`;
  return new Error(`${what}: set HEALTH_PORT to a free one, then start again.`, { cause: error });
}

function listen(server: Server, port: number, host: string): Promise<number> {
  return new Promise((resolve, reject) => {
    server.once('error', (error) => reject(listenFault(error, port)));
    server.listen({ port, host }, () => {
      const address = server.address();
      resolve(typeof address === 'object' && address !== null ? address.port : port);
    });
  });
}

/**
 * Serves /healthz, /readyz and /metrics on a port of their own: the address that the chat platform calls shows them to nobody.
 * @throws Error with a plain sentence when the port is taken
 */
export async function startHealthServer(options: {
  handler: HealthHandler;
  port: number;
  /** The address it listens on. */
  host: string;
}): Promise<HealthServer> {
  const server = createServer((request, response) => {
    if (options.handler(request, response)) return;
    response.writeHead(404, { 'content-type': 'text/plain; charset=utf-8' });
    response.end('Here are only /healthz, /readyz and /metrics.\n');
  });
  const port = await listen(server, options.port, options.host);
  return {
    port,
    stop: () =>
      new Promise((resolve) => {
        server.close(() => resolve());
        server.closeAllConnections();
      }),
  };
}
