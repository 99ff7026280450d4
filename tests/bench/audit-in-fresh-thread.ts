import { parentPort, workerData } from 'node:worker_threads';
import type { Period } from '../../src/domain/audit/line-course.ts';
import { linesAudit } from '../../src/domain/audit/lines-audit.ts';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import type { Entry } from '../../src/domain/record/entry.ts';
import { auditPictures } from '../../src/pictures/audit-pictures.ts';

export interface LinesToAudit {
  zone: string;
  /** Logs of closed lines as JSON. */
  closed: string[];
  /** How many lines to audit: the logs are taken over and over. */
  lineCount: number;
  period: Period;
}

export interface FreshAudit {
  parseMs: number;
  auditMs: number;
  /** Of it what this thread had the processor: the rest it waited for others. */
  auditCpuMs: number;
  drawMs: number;
  entries: number;
}

const { zone, closed, lineCount, period } = workerData as LinesToAudit;
const policy = defaultPolicy(zone);

const began = performance.now();
const lines = Array.from({ length: lineCount }, (_, index) => ({
  id: `line-${index}`,
  log: JSON.parse(closed[index % closed.length] ?? '[]') as Entry[],
}));
const parsed = performance.now();
const cpuBefore = process.threadCpuUsage();
const audit = linesAudit(lines, () => policy, period);
const audited = performance.now();
const cpu = process.threadCpuUsage(cpuBefore);
auditPictures(audit);
const drawn = performance.now();
const told: FreshAudit = {
  parseMs: parsed - began,
  auditMs: audited - parsed,
  auditCpuMs: (cpu.user + cpu.system) / 1000,
  drawMs: drawn - audited,
  entries: lines.reduce((sum, { log }) => sum + log.length, 0),
};
parentPort?.postMessage(told);
