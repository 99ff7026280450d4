import { forEachOf } from '../../src/app/few-at-once.ts';
import type { WardPolicy } from '../../src/domain/policy/ward-policy.ts';
import { practiceWorld } from '../../src/practice/practice-world.ts';
import type { BullmqAlarm } from '../../src/redis/bullmq-alarm.ts';
import { wardKeys, wardsKey } from '../../src/redis/keys.ts';
import { redisRecord } from '../../src/redis/redis-record.ts';
import type { RecordClient } from '../../src/redis/script.ts';
import { caredForLine, fillWard, policy, policyBetweenShifts, policyOfShiftAt } from './bench-ward.ts';
import type { ChildState, ChildSweep } from './bot-child.ts';
import type { Bots } from './bot-processes.ts';

export const linesAWard = 10;
/** At most so many wards have a nudge, all due at one instant; and so many hand over beside them. */
const mostNudges = 1_000;
const mostHandovers = 100;
/** Nudges of which a processor's time is told; where the wards are fewer the same is done again. */
const fewestNudges = 100;
/** `BENCH_BURSTS=4`: so many bursts one after another, to see what a process gains as it runs. */
const burstsAsked = Number(process.env['BENCH_BURSTS'] ?? 0);
/** Nudges before those that count, so that Node has compiled what they need. */
const warmUpNudges = 300;
const settleMs = 8_000;
const restMs = 30_000;
const filledAtOnce = 50;
/** How long nudges may take to stand, ms. */
const patienceMs = 180_000;

const { team } = practiceWorld();
/** Nights so far: each has wards of its own, or what's still due on those of the last would meet them emptied and filled anew. */
let nights = 0;

/** Where the wards are kept, who is told of their wake-ups, and how Redis is. */
export interface Place {
  client: RecordClient;
  alarm: BullmqAlarm;
  servers: () => Promise<ServerState[]>;
}

/** Bytes that a server holds, and seconds of processor that it has used. */
export interface ServerState {
  bytes: number;
  cpuS: number;
}

/** What was seen of nudges due at one instant, ms. */
export interface Burst {
  lateMs: number[];
  due: number;
  /** Processor of all bots from just before until the last stood, above what they take while nothing happens. */
  cpuMs: number;
}

/** What was seen of a night on so many wards. */
export interface Night {
  /** Bots with no ward. */
  empty: ChildState[];
  /** A sweep by all bots at the same time while nothing else happens. */
  sweeps: ChildSweep[];
  alone: Burst[];
  /** Beside so many handovers, and a sweep by every bot. */
  beside: Burst & { handovers: number; lastHandoverMs: number };
  /** 8 s after all this, and half a minute after that. */
  full: ChildState[];
  rested: ChildState[];
  /** Each server before the step and once all this is over, its wards still there. */
  servers: { empty: ServerState[]; full: ServerState[] };
}

/** Fills the wards, has their nudges fall due, alone and then beside handovers, and looks at the bots meanwhile. */
export async function passScaleNight(
  bots: Bots,
  place: Place,
  wards: number,
  standing: number,
): Promise<Night> {
  // A start on wards that stand already checks them all.
  if (standing > 0) await bots.sweep();
  await pause(settleMs);
  const [empty, serversEmpty] = [await bots.states('collected'), await place.servers()];
  const night = ++nights;
  const nudges = Math.min(wards, mostNudges);
  const calm = policyBetweenShifts(Date.now());
  const fill = filling(place);
  await fill(range('C0S', standing, wards - nudges), Date.now(), calm, 'continuous');
  const alone: Burst[] = [];
  let names: string[] = [];
  let fillMs = warmUpNudges * 30;
  const next = async (due: number, round: number, count: number) => {
    await takeOff(place.client, names);
    await bots.emptied(names.map(wardOf));
    const beganMs = Date.now();
    names = range(`C${night}R${round}N`, 0, count);
    await fill(names, due - calm.flushEveryMin * 60_000, calm, 'manual', due);
    fillMs = Date.now() - beganMs;
    if (Date.now() > due - 5_500) throw new Error('the wards took too long to fill for this machine');
  };
  const rounds = burstsAsked || Math.max(1, Math.min(3, Math.ceil(fewestNudges / nudges)));
  for (let round = 0; round <= rounds; round++) {
    const count = round === 0 ? warmUpNudges : nudges;
    const due = Math.ceil(
      Date.now() + 10_000 + (round === 1 ? (fillMs * count) / warmUpNudges : fillMs) * 1.5,
    );
    await next(due, round, count);
    const seen = await burst(bots, count, due, async () => undefined);
    if (round > 0) alone.push(seen);
    // What follows on a burst is done before its wards are taken off.
    await pause(settleMs);
  }
  const sweeps: ChildSweep[] = [];
  for (let sweep = 0; sweep < 3; sweep++) sweeps.push(...(await bots.sweep()));
  const handovers = Math.min(mostHandovers, Math.max(1, Math.floor(wards / 10)));
  // A handover comes before the shift it is for, at a whole minute.
  const due = Math.ceil((Date.now() + 15_000 + fillMs * 1.5) / 60_000) * 60_000;
  await next(due, rounds + 1, nudges - handovers);
  const shift = policyOfShiftAt(due + policy.handoverBeforeMin * 60_000);
  const handing = range(`C${night}H`, 0, handovers);
  await fill(handing, due - 50 * 60_000, shift, 'continuous', due);
  const before = bots.handedOver.length;
  const beside = await burst(bots, nudges - handovers, due, () => bots.sweep());
  await pause(settleMs);
  const lastHandoverMs = Math.max(0, ...bots.handedOver.slice(before)) - due;
  const full = await bots.states();
  await pause(restMs);
  const rested = await bots.states('collected');
  const servers = { empty: serversEmpty, full: await place.servers() };
  await takeOff(place.client, [...names, ...handing]);
  return { empty, sweeps, alone, beside: { ...beside, handovers, lastHandoverMs }, full, rested, servers };
}

/** Waits for nudges that fall due together until they stand. */
async function burst(bots: Bots, nudges: number, due: number, atDue: () => Promise<unknown>): Promise<Burst> {
  const stood = () => [...bots.nudged.values()].filter((atMs) => atMs >= due - 1_000);
  await pause(due - 5_200 - Date.now());
  const quiet = await bots.states();
  await pause(due - 200 - Date.now());
  const before = await bots.states();
  await pause(due - Date.now());
  const meanwhile = atDue();
  while (stood().length < nudges && Date.now() < due + patienceMs) await pause(50);
  const tookMs = Date.now() - due + 200;
  const after = await bots.states();
  await meanwhile;
  const cpu = (all: readonly ChildState[]) => all.reduce((total, { cpuMs }) => total + cpuMs, 0);
  const idle = (cpu(before) - cpu(quiet)) / 5_000;
  return {
    lateMs: stood().map((atMs) => atMs - due),
    due: nudges,
    cpuMs: cpu(after) - cpu(before) - idle * tookMs,
  };
}

/** Fills wards of ten lines; `wakeAt`: their wake-ups are set too, as the bot would have set them. */
function filling({ client, alarm }: Place) {
  return async (
    names: readonly string[],
    at: number,
    itsPolicy: WardPolicy,
    first: 'manual' | 'continuous',
    wakeAt?: number,
  ) => {
    const record = redisRecord({ client, defaultPolicy: itsPolicy });
    await forEachOf(names, filledAtOnce, async (name) => {
      const lines = Array.from({ length: linesAWard }, (_, line) =>
        caredForLine(`l${line}`, at, line === 0 ? first : 'continuous'),
      );
      await fillWard(record, wardOf(name), lines, Date.now(), itsPolicy);
      if (wakeAt !== undefined) await alarm.wakeAt(wardOf(name), wakeAt);
    });
  };
}

/** Takes wards of ten lines off, by the keys that they have: to look for those would cost more than all else. */
async function takeOff(client: RecordClient, names: readonly string[]): Promise<void> {
  await forEachOf(names, filledAtOnce, async (name) => {
    await client.srem(wardsKey, wardOf(name));
    const { once, lineLog, line, linePosts, ...keys } = wardKeys(wardOf(name));
    const today = Math.floor(Date.now() / 86_400_000);
    const lines = range('l', 0, linesAWard).flatMap((id) => [lineLog(id), line(id), linePosts(id)]);
    await client.unlink(...Object.values(keys), ...lines, once(today - 1), once(today));
  });
}

function range(name: string, from: number, to: number): string[] {
  return Array.from({ length: Math.max(0, to - from) }, (_, index) => `${name}${from + index}`);
}

const wardOf = (name: string) => `${team.id}.${name}`;

function pause(forMs: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, Math.max(0, forMs)));
}
