import type { Alarm } from '../../src/app/ports.ts';
import type { Weather } from './weather.ts';
import { type Life, overWire, type Wire } from './wire.ts';

/** Who can do a job now; null where nobody is up. */
export interface Worker {
  life: Life;
  /** The real time it believes it is, ms. */
  realNow(): number;
  now(): number;
  wake(data: { wardId: string; atMs: number }): Promise<void>;
  post(wardId: string): Promise<void>;
}

interface Job {
  id: string;
  name: 'wake' | 'post';
  wardId: string;
  atMs: number;
  running: Life | null;
  tries: number;
  /** Asked for once more while it ran. */
  again: boolean;
}

/** A failed job is tried so often, this long after; then its id stays, and another of that id is ignored. */
const mostTries = 3;
const retryMs = 500;

/**
 * The job queue as the alarm clock uses it: one job an id, begun again some seconds after its worker died, tried three times.
 * What the real one does to a wake-up, this one does as well; and it forgets, doubles and dawdles as the weather has it.
 */
export class AlarmModel {
  private readonly jobs = new Map<string, Job>();
  private readonly wire: Wire;
  private readonly weather: Weather;
  private readonly worker: () => Worker | null;
  private copies = 0;

  constructor(wire: Wire, weather: Weather, worker: () => Worker | null) {
    this.wire = wire;
    this.weather = weather;
    this.worker = worker;
  }

  /** Every key of the queue is gone; what runs goes on. */
  wipe(): void {
    this.jobs.clear();
  }

  /** The alarm as one process reaches it. An adder never fails: what could not be added is reported and left to the sweep. */
  of(life: Life, clock: { now(): number; realNow(): number }): Alarm {
    const { chance } = this.wire;
    const add = (what: string, doing: () => void) => {
      const { rates } = this.weather;
      const isLost = chance.happens(rates.alarmLost) || chance.happens(rates.storeLost);
      const dies = chance.happens(rates.dies);
      return overWire(
        this.wire,
        life,
        'alarm',
        isLost ? `${what} (lost)` : what,
        { is: dies ? 'dies after' : 'done' },
        async () => (isLost ? undefined : doing()),
      );
    };
    return {
      wakeAt: (wardId, atMs) =>
        add(`wake ${wardId} at ${new Date(atMs).toISOString().slice(11, 23)}`, () =>
          this.put('wake', `${wardId}.${Math.floor(atMs)}`, wardId, atMs, atMs - clock.now()),
        ),
      postsWaiting: (wardId, realAtMs) =>
        add(`call for the posts of ${wardId}`, () => {
          const delay = realAtMs === undefined ? 0 : realAtMs - clock.realNow();
          if (delay > 0) this.put('post', `post.${wardId}.${Math.ceil(realAtMs ?? 0)}`, wardId, 0, delay);
          else this.postAtOnce(wardId);
        }),
    };
  }

  /** One waits while one runs, as the queue's deduplication has it. */
  private postAtOnce(wardId: string): void {
    const id = `post.${wardId}`;
    const there = this.jobs.get(id);
    if (there?.running) there.again = true;
    if (!there) this.put('post', id, wardId, 0, 0);
  }

  private put(name: Job['name'], id: string, wardId: string, atMs: number, delayMs: number): void {
    if (this.jobs.has(id)) return;
    const { chance } = this.wire;
    const { rates } = this.weather;
    const job: Job = { id, name, wardId, atMs, running: null, tries: 0, again: false };
    this.jobs.set(id, job);
    const lateMs = chance.happens(rates.alarmLate) ? chance.between(1_000, 240_000) : 0;
    this.begin(job, Math.ceil(Math.max(0, delayMs)) + lateMs);
    if (!chance.happens(rates.alarmDoubled)) return;
    const copy = { ...job, id: `${id}.copy${++this.copies}` };
    this.jobs.set(copy.id, copy);
    this.begin(copy, Math.max(0, delayMs + chance.between(-60_000, 60_000)));
  }

  private begin(job: Job, delayMs: number): void {
    const { time, trace, chance } = this.wire;
    time.after(delayMs + chance.between(0.1, 5), () => {
      if (this.jobs.get(job.id) !== job) return;
      const worker = this.worker();
      // It waits in the queue until somebody is up.
      if (!worker) return this.begin(job, 1_000);
      job.running = worker.life;
      trace.add(time.now, worker.life.name, `job ${job.id} begins`);
      const doing = job.name === 'wake' ? worker.wake(job) : worker.post(job.wardId);
      doing.then(
        () => this.done(job),
        (cause: unknown) => this.failed(job, cause),
      );
      this.watchOver(job, worker.life);
    });
  }

  /** A job whose worker died is begun again by another. */
  private watchOver(job: Job, life: Life): void {
    const { time, chance } = this.wire;
    time.after(chance.between(5_000, 10_000), () => {
      if (this.jobs.get(job.id) !== job || job.running !== life) return;
      if (life.alive) return this.watchOver(job, life);
      job.running = null;
      this.begin(job, 0);
    });
  }

  private done(job: Job): void {
    if (this.jobs.get(job.id) !== job) return;
    this.jobs.delete(job.id);
    if (job.again) this.put(job.name, job.id, job.wardId, job.atMs, 0);
  }

  private failed(job: Job, cause: unknown): void {
    const { time, trace } = this.wire;
    trace.add(time.now, job.running?.name ?? '', `job ${job.id} failed: ${String(cause)}`);
    job.running = null;
    job.tries += 1;
    if (job.tries < mostTries) return this.begin(job, retryMs * 2 ** (job.tries - 1));
    // The last hundred that failed are kept by their ids; a post's deduplication is let go of.
    if (job.name === 'post') this.done(job);
    else time.after(6 * 3_600_000, () => this.jobs.delete(job.id));
  }
}
