import os from 'node:os';
import { startTestRedis, type TestRedis } from '../support/redis-for-tests.ts';
import { ackLatency } from './ack-latency.ts';
import { auditSpeed } from './audit-speed.ts';
import { copiesCost } from './copies-cost.ts';
import { durableEntries } from './durable-entries.ts';
import { handoverRead } from './handover-read.ts';
import { lineDayBytes } from './line-day-bytes.ts';
import { type Measured, table } from './measured.ts';
import { nudgeLateness } from './nudge-lateness.ts';
import { scale, scaleOnCluster } from './scale.ts';
import { shiftChange } from './shift-change.ts';
import { sweepSpeed } from './sweep-speed.ts';

const benches: Readonly<Record<string, (redis: TestRedis) => Promise<Measured[]>>> = {
  ack: ackLatency,
  entries: durableEntries,
  lateness: nudgeLateness,
  'shift-change': shiftChange,
  sweep: sweepSpeed,
  handover: handoverRead,
  bytes: lineDayBytes,
  audit: auditSpeed,
  copies: copiesCost,
};
/** Those that take many minutes, run only where they are named. */
const long: typeof benches = { scale, 'scale-on-cluster': scaleOnCluster };
/** `npm run bench -- sweep lateness` runs those alone. */
const asked = process.argv.slice(2);
const chosen =
  asked.length === 0
    ? Object.entries(benches)
    : Object.entries({ ...benches, ...long }).filter(([name]) => asked.includes(name));
const say = (line: string) => void process.stdout.write(`${line}\n`);

const [cpu] = os.cpus();
const first = await startTestRedis();
const server = /redis_version:(\S+)/.exec(await first.client().info('server'))?.[1] ?? 'unknown';
await first.stop();
say(
  `${cpu?.model.trim() ?? 'unknown processor'}, ${os.cpus().length} cores, ${process.platform}; Node ${process.versions.node}, Redis ${server} (appendfsync always)`,
);
say(
  `Load when it began: ${os.loadavg()[0]?.toFixed(2)}. Ratios are taken within this run; absolute numbers are this machine’s.`,
);
say('');
const rows: Measured[] = [];
for (const [, bench] of chosen) {
  const redis = await startTestRedis();
  try {
    rows.push(...(await bench(redis)));
  } finally {
    await redis.stop();
  }
}
say(table(rows));
process.exit(0);
