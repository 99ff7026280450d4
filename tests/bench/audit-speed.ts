import { Worker } from 'node:worker_threads';
import { yearMs, yearOfLines } from '../../src/invented/year-of-lines.ts';
import type { FreshAudit, LinesToAudit } from './audit-in-fresh-thread.ts';
import { type Measured, ms, percentile } from './measured.ts';

const zone = 'Europe/Berlin';
const lineCount = 10_000;
const runs = 3;

/**
 * An audit of 10,000 closed lines, in a thread that has run nothing yet, as the bot does it, against parsing the same logs from
 * JSON, without which nothing can be audited. The lines are those of an invented year, over and over.
 */
export async function auditSpeed(): Promise<Measured[]> {
  const endMs = Date.UTC(2026, 10, 25, 12);
  const year = yearOfLines({ seed: 'bench', lines: 600, endMs, zone });
  const closed = year.lines.filter(({ listed }) => !listed).map(({ entries }) => JSON.stringify(entries));
  const { wardEntries } = year;
  const data: LinesToAudit = {
    zone,
    wardEntries,
    closed,
    lineCount,
    period: { fromMs: endMs - yearMs, toMs: endMs },
  };
  const fresh: FreshAudit[] = [];
  for (let run = 0; run < runs; run++) fresh.push(await inFreshThread(data));
  const median = (of: (one: FreshAudit) => number) => percentile(fresh.map(of), 0.5);
  const [parseMs, auditMs, cpuMs, drawMs] = [
    median((one) => one.parseMs),
    median((one) => one.auditMs),
    median((one) => one.auditCpuMs),
    median((one) => one.drawMs),
  ];
  const entries = fresh[0]?.entries ?? 0;
  return [
    {
      what: `audit of 10,000 closed lines, ${Math.round(entries / 1000)} thousand entries, in a thread that ran nothing before`,
      ours: `${ms(auditMs)}, ${ms(cpuMs)} of processor`,
      raw: `${ms(parseMs)} (their JSON parsed)`,
      ratio: auditMs / parseMs,
      aim: '< 2,000 ms',
    },
    {
      what: `its ${fresh[0]?.pictures} pictures drawn, learning curves with them`,
      ours: ms(drawMs),
      raw: '',
      ratio: null,
      aim: '',
    },
  ];
}

function inFreshThread(workerData: LinesToAudit): Promise<FreshAudit> {
  return new Promise((resolve, reject) => {
    const thread = new Worker(new URL('./audit-in-fresh-thread.ts', import.meta.url), { workerData });
    thread.once('message', resolve);
    thread.once('error', reject);
  });
}
