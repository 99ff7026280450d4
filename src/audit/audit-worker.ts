import { parentPort, workerData } from 'node:worker_threads';
import { Redis } from 'ioredis';
import type { Audited } from '../app/audits.ts';
import { wardAudit } from '../domain/audit/ward-audit.ts';
import { defaultPolicy } from '../domain/policy/ward-policy.ts';
import { readWard } from '../redis/ward-copies.ts';
import { drawnAudit } from './drawn-audit.ts';
import type { AuditTask, FromWorker } from './worker-audits.ts';

/** How often it is said how far the count is, in parts of the whole. */
const partsTold = 50;

/** Reads one ward's whole record, audits it, draws it, and hands all over: none of it on the thread that answers people. */
async function work({ connection, wardId, period, wardZone }: AuditTask): Promise<Audited> {
  const client = new Redis({ ...connection, maxRetriesPerRequest: 2 });
  client.on('error', () => {});
  try {
    const reading = await readWard(client, wardId);
    const count = reading?.count ?? 0;
    const every = Math.max(1, Math.floor(count / partsTold));
    const logs = { wardEntries: reading?.wardEntries ?? [], lines: reading?.lines() ?? [] };
    const audit = wardAudit(logs, defaultPolicy(wardZone), period, (linesDone) => {
      if (linesDone % every === 0) tell({ is: 'counting', progress: { linesDone, lines: count } });
    });
    return drawnAudit(audit);
  } finally {
    client.disconnect();
  }
}

function tell(message: FromWorker): void {
  parentPort?.postMessage(message);
}

try {
  tell({ is: 'done', audited: await work(workerData as AuditTask) });
} catch (error) {
  tell({ is: 'failed', cause: error instanceof Error ? error : new Error(String(error)) });
}
