import { Worker } from 'node:worker_threads';
import { type Audited, AuditFailed, type AuditProgress, type Audits } from '../app/audits.ts';
import type { Period } from '../domain/audit/line-course.ts';
import { auditFailedWords } from '../wording/audit/audit-text.ts';

/** What a worker is told to do. */
export interface AuditTask {
  /** Where the record is, as plain data that the worker's program opens it with. */
  target: object;
  /** Zone of a ward that never set its policy. */
  wardZone: string;
  wardId: string;
  period: Period;
}

/** What a worker says. */
export type FromWorker =
  | { is: 'counting'; progress: AuditProgress }
  | { is: 'done'; audited: Audited }
  | { is: 'failed'; cause: Error };

export interface WorkerAuditsOptions {
  target: AuditTask['target'];
  wardZone: string;
  realNow: () => number;
  /** Hears of every failure, for the log. */
  trouble: (what: string, ids: Record<string, string | number>, cause?: unknown) => void;
  /** A count that takes longer is given up, ms. */
  patienceMs?: number;
  /** The program of the worker; another one only in tests. */
  program?: URL;
}

/** Ten thousand lines take seconds; this is for a Redis that hangs. */
const usualPatienceMs = 60_000;
const keptForMs = 10 * 60_000;
const failureKeptForMs = 60_000;
const mostKept = 4;

interface Running {
  audited: Promise<Audited>;
  hearers: Set<(progress: AuditProgress) => void>;
}

/**
 * Audits made in a thread of their own, one after the other, so that no acknowledgement waits for them however large the
 * record is. The thread reads the record itself.
 */
export function workerAudits(options: WorkerAuditsOptions): Audits {
  const { realNow, trouble } = options;
  const running = new Map<string, Running>();
  /** What the latest counts came to; a failed one too, so that whoever waits for it hears of it. */
  const kept = new Map<string, { audited: Promise<Audited>; untilMs: number }>();
  let queue: Promise<unknown> = Promise.resolve();

  const make = (wardId: string, period: Period): Running => {
    const hearers: Running['hearers'] = new Set();
    const turn = queue.then(() =>
      inWorker(options, wardId, period, (progress) => {
        for (const hear of hearers) hear(progress);
      }),
    );
    queue = turn.catch(() => undefined);
    const audited = turn.catch((cause: unknown) => {
      trouble('an audit could not be made', { wardId }, cause);
      throw new AuditFailed(auditFailedWords, { cause });
    });
    return { audited, hearers };
  };

  const keep = (key: string, audited: Promise<Audited>, forMs: number) => {
    kept.delete(key);
    kept.set(key, { audited, untilMs: realNow() + forMs });
    for (const oldest of [...kept.keys()].slice(0, -mostKept)) kept.delete(oldest);
  };

  return {
    async of(wardId, period, { progress, keptWillDo = false } = {}) {
      const key = `${wardId}|${period.fromMs}|${period.toMs}`;
      const before = kept.get(key);
      if (keptWillDo && before && realNow() < before.untilMs) return before.audited;
      const one = running.get(key) ?? make(wardId, period);
      running.set(key, one);
      if (progress) one.hearers.add(progress);
      const done = (forMs: number) => {
        if (running.get(key) !== one) return;
        running.delete(key);
        keep(key, one.audited, forMs);
      };
      try {
        const audited = await one.audited;
        done(keptForMs);
        return audited;
      } catch (error) {
        done(failureKeptForMs);
        throw error;
      } finally {
        if (progress) one.hearers.delete(progress);
      }
    },
  };
}

/** One count in a thread that ends with it. */
function inWorker(
  { target, wardZone, patienceMs = usualPatienceMs, program }: WorkerAuditsOptions,
  wardId: string,
  period: Period,
  progress: (progress: AuditProgress) => void,
): Promise<Audited> {
  const task: AuditTask = { target, wardZone, wardId, period };
  const worker = new Worker(program ?? new URL('./audit-worker.ts', import.meta.url), {
    workerData: task,
    // What the bot itself was started with is not this thread's.
    execArgv: [],
  });
  const made = new Promise<Audited>((resolve, reject) => {
    const patience = setTimeout(
      () => reject(new Error(`the count took longer than ${patienceMs} ms`)),
      patienceMs,
    );
    patience.unref();
    worker.on('message', (message: FromWorker) => {
      if (message.is === 'counting') progress(message.progress);
      else if (message.is === 'done') resolve(message.audited);
      else reject(message.cause);
    });
    worker.on('error', reject);
    worker.on('exit', (code) => reject(new Error(`the thread ended with code ${code} before it was done`)));
    worker.unref();
  });
  return made.finally(() => void worker.terminate());
}
