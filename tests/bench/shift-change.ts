import { once } from 'node:events';
import { monitorEventLoopDelay } from 'node:perf_hooks';
import { Worker } from 'node:worker_threads';
import { practiceWorld } from '../../src/practice/practice-world.ts';
import { redisRecord } from '../../src/redis/redis-record.ts';
import type { TestRedis } from '../support/redis-for-tests.ts';
import { caredForLine, fillWard, policy, policyBetweenShifts, policyOfShiftAt } from './bench-ward.ts';
import type { Noticed, TellAtPace } from './hospital-thread.ts';
import { type Measured, ms, percentile } from './measured.ts';
import { nudgeStages } from './nudge-stages.ts';
import { shape, signingSecret, startShiftBot } from './shift-bot.ts';

const handingOver = Number(process.env['BENCH_HANDOVERS'] ?? 1_000);
const linesAWard = 10;
/** How much slower all but the handovers goes: on a machine that has little to spare nothing else can be told apart. */
const slower = Number(process.env['BENCH_SLOWER'] ?? 1);
const perSecond = 20 / slower;
const quietMs = 10_000 * slower;
const busyMs = Math.max(10_000, handingOver * 40) * slower;
/** As many a second before as meanwhile. */
const nudgesPerSecond = 10 / slower;
const nudgesQuiet = (quietMs / 1000) * nudgesPerSecond;
const nudgesBusy = (busyMs / 1000) * nudgesPerSecond;
const { team } = practiceWorld();
const ward = (channel: string) => `${team.id}.${channel}`;

/** What happened in a stretch of time: acks, answers, nudges' lateness and the loop's delay, all ms. */
interface Stretch {
  ackMs: number[];
  answerMs: number[];
  nudgeMs: number[];
  loopP99Ms: number;
  loopMaxMs: number;
}

/**
 * What people tell and what falls due elsewhere while 1,000 wards of 10 lines hand over at one instant, in one process for
 * everything or several (`shift-bot.ts`), against the same in the seconds before.
 */
export async function shiftChange(redis: TestRedis): Promise<Measured[]> {
  const hospital = new Worker(new URL('./hospital-thread.ts', import.meta.url), { execArgv: [] });
  const dueOf = new Map<string, number>();
  const stages = nudgeStages((wardId) => dueOf.get(wardId));
  const posted: Extract<Noticed, { what: 'posted' }>[] = [];
  let told: ((noticed: Extract<Noticed, { what: 'told' }>) => void) | undefined;
  const [{ port: platformPort }] = (await once(hospital, 'message')) as [{ port: number }];
  hospital.on('message', (noticed: Noticed) => {
    if (noticed.what === 'posted') posted.push(noticed);
    if (noticed.what === 'posted' && noticed.kind === 'nudge') stages.stood(noticed.ward, noticed.atMs);
    if (noticed.what === 'told') told?.(noticed);
  });

  const client = redis.client();
  const record = redisRecord({ client, defaultPolicy: policy });
  const fillMs = (20_000 + handingOver * 30) * slower;
  // A handover comes before the shift it is for, at a whole minute.
  const dueAt = Math.ceil((Date.now() + fillMs + quietMs) / 60_000) * 60_000;
  const shiftPolicy = policyOfShiftAt(dueAt + policy.handoverBeforeMin * 60_000);
  const calm = policyBetweenShifts(dueAt);
  const placedAt = dueAt - 50 * 60_000;
  const lines = (at: number, count: number) =>
    Array.from({ length: count }, (_, line) =>
      caredForLine(`l${line}`, at, line % 2 === 0 ? 'manual' : 'continuous'),
    );
  await inParts(handingOver, (index) =>
    fillWard(record, ward(`C0H${index}`), lines(placedAt, linesAWard), placedAt, shiftPolicy),
  );
  const quietFrom = dueAt - quietMs;
  const nudged = async (name: string, count: number, fromMs: number, overMs: number) =>
    inParts(count, async (index) => {
      const due = Math.round(fromMs + (overMs * index) / count);
      const at = due - policy.flushEveryMin * 60_000;
      dueOf.set(ward(`${name}${index}`), due);
      await fillWard(record, ward(`${name}${index}`), lines(at, 1), at, calm);
    });
  await nudged('C0Q', nudgesQuiet, quietFrom, quietMs);
  await nudged('C0B', nudgesBusy, dueAt, busyMs);
  await fillWard(
    record,
    ward('C0TOLD'),
    [{ ...caredForLine('told', placedAt, 'continuous') }],
    placedAt,
    calm,
  );
  if (Date.now() > quietFrom - 8_000)
    throw new Error('the wards took too long to fill for this machine; give them more time');

  const { port, stop } = await startShiftBot(redis, platformPort, stages);

  const stretch = async (forMs: number, nudges: string, until: () => boolean): Promise<Stretch> => {
    const loop = monitorEventLoopDelay({ resolution: 5 });
    loop.enable();
    const all = new Promise<Extract<Noticed, { what: 'told' }>>((resolve) => {
      told = resolve;
    });
    const task: TellAtPace = { port, signingSecret, channel: 'C0TOLD', perSecond, forMs };
    hospital.postMessage(task);
    const { ackMs, answerMs } = await all;
    while (!until()) await new Promise((resolve) => setTimeout(resolve, 100));
    loop.disable();
    const nudgeMs = posted.flatMap(({ kind, ward: its, atMs }) =>
      kind === 'nudge' && its.startsWith(ward(nudges)) ? [atMs - (dueOf.get(its) ?? atMs)] : [],
    );
    return {
      ackMs,
      answerMs,
      nudgeMs,
      loopP99Ms: loop.percentile(99) / 1e6,
      loopMaxMs: loop.max / 1e6,
    };
  };
  const countOf = (kind: string, name: string, key = '') =>
    new Set(
      posted.flatMap((one) =>
        one.kind === kind && one.ward.startsWith(ward(name)) && one.key.startsWith(key) ? [one.ward] : [],
      ),
    ).size;
  await new Promise((resolve) => setTimeout(resolve, Math.max(0, quietFrom - Date.now())));
  const quiet = await stretch(quietMs - 500, 'C0Q', () => Date.now() >= dueAt - 50);
  const cpu = process.cpuUsage();
  const busy = await stretch(
    busyMs,
    'C0B',
    () =>
      (countOf('nudge', 'C0B') >= nudgesBusy && countOf('handover', 'C0H', '3.') >= handingOver) ||
      Date.now() > dueAt + busyMs * 4,
  );
  const firsts = countOf('handover', 'C0H', '3.');
  const allStand = posted.filter(({ kind }) => kind === 'handover').map(({ atMs }) => atMs - dueAt);
  const used = process.cpuUsage(cpu);
  await stop();
  await hospital.terminate();
  const row = (what: string, of: (one: Stretch) => number, aim = ''): Measured => ({
    what,
    ours: ms(of(busy)),
    raw: ms(of(quiet)),
    ratio: of(busy) / of(quiet),
    aim,
  });
  return [
    row(`${shape}: ack while ${handingOver} wards hand over, against before, p50`, ({ ackMs }) =>
      percentile(ackMs, 0.5),
    ),
    row('the same, p99', ({ ackMs }) => percentile(ackMs, 0.99), '≤ 2'),
    row('answer “recorded” meanwhile, p50', ({ answerMs }) => percentile(answerMs, 0.5)),
    row('the same, p99', ({ answerMs }) => percentile(answerMs, 0.99), '≤ 2'),
    row('a nudge on other wards meanwhile, until it stands, p50', ({ nudgeMs }) => percentile(nudgeMs, 0.5)),
    row('the same, p99', ({ nudgeMs }) => percentile(nudgeMs, 0.99), '≤ 2,000 ms'),
    row('the loop meanwhile, p99', ({ loopP99Ms }) => loopP99Ms, '< 50 ms'),
    row('the same, longest', ({ loopMaxMs }) => loopMaxMs),
    {
      what: `first messages of handovers that stood within ${((busyMs * 4) / 1000).toFixed(0)} s, and when half and the last of their messages stood; nudges seen ${busy.nudgeMs.length} of ${nudgesBusy}; processor of the process with its threads`,
      ours: `${firsts} of ${handingOver}, ${ms(percentile(allStand, 0.5))}, ${ms(percentile(allStand, 1))}; ${((used.user + used.system) / 1e6).toFixed(1)} s`,
      raw: '',
      ratio: null,
      aim: '',
    },
    {
      what: 'the slowest nudges in a hundred: late when a wake-up picked the ward up; when it was looked at; when its message was begun; when that stood (mean)',
      ours: stages.ofSlowest(0.01, 'C0B'),
      raw: stages.ofSlowest(0.01, 'C0Q'),
      ratio: null,
      aim: '',
    },
  ];
}

async function inParts(count: number, work: (index: number) => Promise<void>): Promise<void> {
  for (let start = 0; start < count; start += 50)
    await Promise.all(Array.from({ length: Math.min(50, count - start) }, (_, index) => work(start + index)));
}
