import { parentPort, workerData } from 'node:worker_threads';
import type { Audited } from '../app/audits.ts';
import { WardCount } from '../domain/audit/ward-audit.ts';
import { defaultPolicy } from '../domain/policy/ward-policy.ts';
import { connect, type RedisTarget } from '../redis/connections.ts';
import { readWardInParts } from '../redis/ward-copies.ts';
import { drawnAudit } from './drawn-audit.ts';
import type { AuditTask, FromWorker } from './worker-audits.ts';

/** How often it is said how far the count is, in parts of the whole. */
const partsReported = 50;

/** Reads one ward's whole record, audits it, draws it, and hands all over: none of it on the thread that answers people. */
async function work({ target, wardId, period, wardZone }: AuditTask): Promise<Audited> {
  const client = connect(target as RedisTarget, 'background');
  client.on('error', () => {});
  try {
    const { wardEntries, count, lines } = await readWardInParts(client, wardId);
    const every = Math.max(1, Math.floor(count / partsReported));
    const counting = new WardCount(wardEntries, defaultPolicy(wardZone), period);
    let linesDone = 0;
    for await (const line of lines()) {
      counting.add(line);
      linesDone += 1;
      if (linesDone % every === 0) report({ is: 'counting', progress: { linesDone, lines: count } });
    }
    return drawnAudit(counting.audit());
  } finally {
    client.disconnect();
  }
}

function report(message: FromWorker): void {
  parentPort?.postMessage(message);
}

try {
  report({ is: 'done', audited: await work(workerData as AuditTask) });
} catch (error) {
  report({ is: 'failed', cause: error instanceof Error ? error : new Error(String(error)) });
}
