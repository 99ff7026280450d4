import { createServer } from 'node:http';
import type { TestProject } from 'vitest/node';
import type { TestRedis } from './redis-for-tests.ts';

/**
 * What test files share, started when the first of them asks for it over a port, and ended with the run: one Chromium for all,
 * and one Redis for each worker. A worker cannot keep them itself, since it is ended without a word.
 */
export async function setup(project: TestProject): Promise<() => Promise<void>> {
  // Where workers write too: see vitest.config.ts.
  process.env.TMPDIR = project.config.env.TMPDIR;
  let chromium: ReturnType<typeof startChromium> | null = null;
  const servers = new Map<string, Promise<TestRedis>>();
  const addressOf = async (wanted: string): Promise<string> => {
    if (wanted === '/chromium') {
      chromium ??= startChromium();
      return (await chromium).wsEndpoint();
    }
    const redis = servers.get(wanted) ?? startRedis();
    servers.set(wanted, redis);
    return JSON.stringify((await redis).connection);
  };
  const door = createServer(({ url = '' }, response) => {
    addressOf(url).then(
      (address) => response.end(address),
      (error: unknown) => response.writeHead(500).end(String(error)),
    );
  });
  await new Promise<void>((resolve) => door.listen(0, '127.0.0.1', resolve));
  const address = door.address();
  project.provide('sharedPort', typeof address === 'object' && address ? address.port : 0);
  return async () => {
    door.close();
    door.closeAllConnections();
    const ends = [...servers.values()].map(async (one) => (await one).stop());
    if (chromium) ends.push(chromium.then((one) => one.close()));
    // What never started was told to whoever asked.
    await Promise.allSettled(ends);
  };
}

// Both are loaded only when a file asks: it takes most of a second.
async function startChromium() {
  const { launchChromium } = await import('./chromium-for-tests.ts');
  return launchChromium();
}

async function startRedis() {
  const { startTestRedis } = await import('./redis-for-tests.ts');
  return startTestRedis();
}

declare module 'vitest' {
  interface ProvidedContext {
    /** Where to ask for what is shared. */
    sharedPort: number;
  }
}
