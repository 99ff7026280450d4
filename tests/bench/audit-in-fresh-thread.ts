import { parentPort, workerData } from 'node:worker_threads';
import { drawnAudit } from '../../src/audit/drawn-audit.ts';
import type { Period } from '../../src/domain/audit/line-course.ts';
import { wardAudit } from '../../src/domain/audit/ward-audit.ts';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import type { Entry } from '../../src/domain/record/entry.ts';
import type { WardEntry } from '../../src/domain/ward/ward-entry.ts';

export interface LinesToAudit {
  zone: string;
  wardEntries: WardEntry[];
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
  pictures: number;
  entries: number;
}

const { zone, wardEntries, closed, lineCount, period } = workerData as LinesToAudit;
const policy = defaultPolicy(zone);

const began = performance.now();
const lines = Array.from({ length: lineCount }, (_, index) => ({
  id: `line-${index}`,
  entries: JSON.parse(closed[index % closed.length] ?? '[]') as Entry[],
}));
const parsed = performance.now();
const cpuBefore = process.threadCpuUsage();
const audit = wardAudit({ wardEntries, lines }, policy, period);
const audited = performance.now();
const cpu = process.threadCpuUsage(cpuBefore);
const { pictures, curvePictures } = drawnAudit(audit);
const drawn = performance.now();
const told: FreshAudit = {
  parseMs: parsed - began,
  auditMs: audited - parsed,
  auditCpuMs: (cpu.user + cpu.system) / 1000,
  drawMs: drawn - audited,
  pictures: pictures.length + Object.keys(curvePictures).length,
  entries: lines.reduce((sum, { entries }) => sum + entries.length, 0),
};
parentPort?.postMessage(told);
