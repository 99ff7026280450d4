import type { JobsOptions, Queue } from 'bullmq';

/** One job to be added. */
interface Job {
  name: string;
  data: unknown;
  opts: JobsOptions;
}

/** Adds jobs to a queue, those of the same moment in one trip. */
export interface GatheredAdds {
  /** Resolves when the job is in the queue; rejects when its trip failed. */
  add(name: string, data: unknown, opts: JobsOptions): Promise<void>;
}

/**
 * Gathers what is added within `gatherMs` (real time) into one trip: when a thousand wards are looked at in the same
 * second, a thousand single trips would stand in the way of their reminders.
 */
export function gatheredAdds(queue: Queue, gatherMs: number): GatheredAdds {
  let waiting: { jobs: Job[]; sent: Promise<void> } | null = null;
  const begin = () => {
    const jobs: Job[] = [];
    const sent = (async () => {
      await new Promise((resolve) => setTimeout(resolve, gatherMs));
      waiting = null;
      const [only] = jobs;
      if (only && jobs.length === 1) await queue.add(only.name, only.data, only.opts);
      else await queue.addBulk(jobs);
    })();
    return { jobs, sent };
  };
  return {
    add(name, data, opts) {
      waiting ??= begin();
      waiting.jobs.push({ name, data, opts });
      return waiting.sent;
    },
  };
}
