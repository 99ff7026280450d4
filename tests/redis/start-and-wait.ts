// Run by the tests as a process of its own: starts the embedded server on the folder given, prints its process id, waits.
import { startEmbeddedRedis } from '../../src/redis/embedded-redis.ts';

const silent = { debug() {}, info() {}, warn() {}, error() {} };
const redis = await startEmbeddedRedis({ dataDir: process.argv[2] ?? '', log: silent });
process.stdout.write(`${redis.pid}\n`);
setInterval(() => {}, 1000);
