import { Counter, collectDefaultMetrics, Gauge, Histogram, Registry } from 'prom-client';

/** What the bot counts, with the names operators see. Labels are words of our own lists, never ids. */
export interface Metrics {
  registry: Registry;
  entriesAccepted: Counter<'kind'>;
  conflicts: Counter;
  nudgesSent: Counter<'step'>;
  nudgeLatenessSeconds: Histogram;
  wakeLatenessSeconds: Histogram;
  sweepRepairs: Counter;
  /** Where the number of waiting messages is asked for at each look; until it is given the metric stays at 0. */
  askOutboxDepth: (ask: () => Promise<number>) => void;
  /** Where each check of /readyz is asked at each look, by name; until it is given the metric has no value. */
  askReadiness: (ask: () => Promise<Readonly<Record<string, boolean>>>) => void;
  posts: Counter<'outcome'>;
  ackSeconds: Histogram;
  redisUp: Gauge;
  troubles: Counter;
}

/** A registry of its own with every metric of the bot at zero, and Node's own process metrics when asked for. */
export function createMetrics({ withProcessMetrics }: { withProcessMetrics: boolean }): Metrics {
  const registry = new Registry();
  const registers = [registry];
  if (withProcessMetrics) collectDefaultMetrics({ register: registry });
  return { registry, ...asked(registers), ...ofWards(registers), ...ofWhatIsReached(registers) };
}

/** What is asked for at each look. */
function asked(registers: Registry[]): Pick<Metrics, 'askOutboxDepth' | 'askReadiness'> {
  let waiting = async () => 0;
  new Gauge({
    name: 'dicrotic_outbox_depth',
    help: 'Messages waiting to be sent or updated.',
    registers,
    async collect() {
      this.set(await waiting());
    },
  });
  let checks = async (): Promise<Readonly<Record<string, boolean>>> => ({});
  new Gauge({
    name: 'dicrotic_ready',
    help: '1 while a check of /readyz passes, else 0.',
    labelNames: ['check'],
    registers,
    async collect() {
      this.reset();
      for (const [check, passes] of Object.entries(await checks())) this.set({ check }, passes ? 1 : 0);
    },
  });
  return {
    askOutboxDepth(ask) {
      waiting = ask;
    },
    askReadiness(ask) {
      checks = ask;
    },
  };
}

/** What is recorded and reminded of, and how late. */
function ofWards(
  registers: Registry[],
): Pick<
  Metrics,
  | 'entriesAccepted'
  | 'conflicts'
  | 'nudgesSent'
  | 'nudgeLatenessSeconds'
  | 'wakeLatenessSeconds'
  | 'sweepRepairs'
> {
  return {
    entriesAccepted: new Counter({
      name: 'dicrotic_entries_accepted_total',
      help: 'Entries written to the record, by kind.',
      labelNames: ['kind'],
      registers,
    }),
    conflicts: new Counter({
      name: 'dicrotic_conflicts_total',
      help: 'Times two writers met on one line and one had to decide again.',
      registers,
    }),
    nudgesSent: new Counter({
      name: 'dicrotic_nudges_sent_total',
      help: 'Nudges and escalations made, by rung of the ladder.',
      labelNames: ['step'],
      registers,
    }),
    nudgeLatenessSeconds: new Histogram({
      name: 'dicrotic_nudge_lateness_seconds',
      help: 'Ward time between the instant a nudge was to be made and the instant it was, in seconds.',
      buckets: [0.1, 0.5, 1, 5, 15, 30, 60, 300, 900],
      registers,
    }),
    wakeLatenessSeconds: new Histogram({
      name: 'dicrotic_wake_lateness_seconds',
      help: 'Ward time between the instant a wake-up was set for and the instant it ran, in seconds.',
      buckets: [0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 30, 60, 300],
      registers,
    }),
    sweepRepairs: new Counter({
      name: 'dicrotic_sweep_repairs_total',
      help: 'Wake-ups that were missing or wrong and were set again from the record.',
      registers,
    }),
  };
}

/** The chat platform, Redis, and what the operator was told of. */
function ofWhatIsReached(
  registers: Registry[],
): Pick<Metrics, 'posts' | 'ackSeconds' | 'redisUp' | 'troubles'> {
  return {
    posts: new Counter({
      name: 'dicrotic_posts_total',
      help: 'Messages handed to the chat platform, by outcome.',
      labelNames: ['outcome'],
      registers,
    }),
    ackSeconds: new Histogram({
      name: 'dicrotic_ack_seconds',
      help: 'Time from the arrival of a command or press to its acknowledgement, in seconds; the platform allows 3.',
      buckets: [0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2, 3],
      registers,
    }),
    redisUp: new Gauge({
      name: 'dicrotic_redis_up',
      help: '1 while Redis answers, else 0.',
      registers,
    }),
    troubles: new Counter({
      name: 'dicrotic_troubles_total',
      help: 'Faults the app met and told the operator of; each has a line in the log.',
      registers,
    }),
  };
}
