import { animalsRecord } from '../../src/app/animals-record.ts';
import type { Alarm, Change, Messenger, WardRecord, WardView } from '../../src/app/ports.ts';
import { channelOf } from '../../src/chat/ward-id.ts';
import { defaultPolicy, type WardPolicy } from '../../src/domain/policy/ward-policy.ts';
import { type Chance, chanceFrom } from '../../src/invented/chance.ts';
import { type MemoryRecord, memoryRecord } from '../support/memory-record.ts';
import { AlarmModel } from './alarm-model.ts';
import { BotProcess, type StoredBeat } from './bot-process.ts';
import { Checks } from './checks.ts';
import { type Manner, People } from './people.ts';
import { PlatformModel, type PlatformWatch } from './platform-model.ts';
import { Press } from './press.ts';
import { ShutChannels } from './shut-channels.ts';
import { idOf } from './standing.ts';
import type { Tally } from './tally.ts';
import { Trace } from './trace.ts';
import { Unread } from './unread.ts';
import { VirtualTime } from './virtual-time.ts';
import { drawSpells, type SpellKind, Weather } from './weather.ts';
import type { Wire } from './wire.ts';

const minuteMs = 60_000;
const dayMs = 24 * 60 * minuteMs;

/** Spells in which no process can leave a sign of life. */
const isSilence: ReadonlySet<SpellKind> = new Set(['all down', 'store away']);

/** Parts that are broken on purpose, to see that the simulation finds it. */
export interface Broken {
  /** The record itself. */
  store?: (right: WardRecord) => WardRecord;
  /** The record as the bot calls it: what it leaves out, the checks never hear of. */
  record?: (right: WardRecord) => WardRecord;
  messenger?: (right: Messenger) => Messenger;
  alarm?: (right: Alarm) => Alarm;
  neverSweeps?: boolean;
  /** On each ward nobody is on call, and three lines are in: there the fault shows. */
  nobodyOnCall?: boolean;
  /** The jobs' sign of life never says that there was a silence. */
  noticesNoSilence?: boolean;
}

/** One installation in a virtual world: a store and a platform that never die, two processes that do, and people. */
export class World {
  readonly wire: Wire;
  readonly weather = new Weather();
  readonly tally: Tally;
  readonly checks: Checks;
  readonly platform: PlatformModel;
  readonly unread: Unread;
  /** When each ward's channel is shut; null where none ever is. */
  readonly channels: ShutChannels | null;
  readonly alarm: AlarmModel;
  readonly raw: MemoryRecord;
  /** The record as the processes reach it, before any wire: each change is seen by the checks. */
  readonly seen: WardRecord;
  readonly policy: WardPolicy;
  readonly wardIds: string[];
  readonly stored: StoredBeat = { beat: null, untold: [] };
  /** When the platform says by itself that the bot may be down, by ward, ms. */
  readonly lastWord = new Map<string, number>();
  /** Changes the record took. */
  changes = 0;
  /** How many it had taken when a sweep last did everything, and when the last words were last pushed ahead. */
  sweptAt = -1;
  pushedAt = -1;
  /** What was broken first; null while every promise is kept. */
  fault: string | null = null;
  private readonly processes: (BotProcess | null)[] = [null, null];
  private readonly people: People;
  private readonly chance: Chance;
  private readonly skewMs: number;
  private readonly saidAt = new Map<string, number>();
  private readonly withAnimals: WardRecord;
  private lives = 0;
  private allDown: ((atMs: number) => void) | null = null;

  readonly broken: Broken;
  private readonly store: WardRecord;

  constructor(seed: string, tally: Tally, broken: Broken = {}, archiving = false) {
    this.tally = tally;
    this.broken = broken;
    const chance = chanceFrom(seed);
    this.chance = chance.of('world');
    const draw = chance.of('run');
    const time = new VirtualTime(draw.pick(begins));
    this.wire = { time, trace: new Trace(), chance: chance.of('wire') };
    this.policy = { ...drawPolicy(draw), ...(broken.nobodyOnCall ? { rota: {} } : {}) };
    this.skewMs = draw.happens(0.3) ? 4_000 : 250;
    this.weather.clocksAgree = this.skewMs < 500;
    this.wardIds = draw.happens(0.1) ? ['T0SIM.C0EAST', 'T0SIM.C0WEST'] : ['T0SIM.C0EAST'];
    this.raw = memoryRecord(this.policy, { realNow: () => time.now, copied: (value) => value });
    this.store = broken.store?.(this.raw) ?? this.raw;
    this.withAnimals = animalsRecord(this.raw);
    const right = this.observed();
    this.seen = broken.record?.(right) ?? right;
    const reach = chance.of('reach');
    this.unread = new Unread(reach, time.now);
    this.channels = archiving ? this.shutChannels() : null;
    const watch: PlatformWatch = {
      came: (message) => {
        this.checks.came(message);
        const asked = this.checks.standing.posts.get(idOf(message.ward, message.key));
        const to = asked?.post.to ?? 'ward';
        if (asked && (to === 'ward' || !this.unread.isUnread(to.user, time.now)))
          this.people.sees(asked.wardId, asked.post);
      },
      changed: (message) => this.checks.standing.rewritten(message),
      gone: (message) => this.checks.standing.gone(message),
    };
    this.platform = new PlatformModel(time, this.unread, watch, this.channels);
    this.alarm = new AlarmModel(this.wire, this.weather, () => this.anyProcess());
    this.checks = new Checks(this);
    const manner = manners[draw.weighted({ punctual: 6, overloaded: 3, absent: 1 })];
    this.people = new People(this, chance.of('people'), manner, new Press(this, chance.of('presses')));
    const isCalled = reach.happens(0.8) && !broken.nobodyOnCall;
    if (!isCalled) this.tally.add('runs in which nobody is set on call');
    this.tally.add('people whom no direct message reaches', this.unread.count);
    for (const wardId of this.wardIds)
      this.people.begin(
        wardId,
        Number(draw.weighted(broken.nobodyOnCall ? { 3: 1 } : { 1: 7, 2: 2, 3: 1 })),
        isCalled,
      );
  }

  /** The ward as the record has it at this instant, by nobody's wire. */
  peek(wardId: string): Promise<WardView> {
    return this.withAnimals.readWard(wardId);
  }

  anyProcess(): BotProcess | null {
    const up = this.processes.filter((one) => one !== null);
    return up[Math.floor(this.chance.share() * up.length)] ?? null;
  }

  /** The earliest instant on any ward's wake index, ms. */
  nextDue(): number {
    return Math.min(...this.wardIds.map((wardId) => this.raw.nextWakeAt(wardId) ?? Number.POSITIVE_INFINITY));
  }

  nextPost(): number {
    return Math.min(...this.wardIds.map((wardId) => this.raw.nextPost(wardId) ?? Number.POSITIVE_INFINITY));
  }

  fails(what: string): void {
    if (this.fault !== null) return;
    this.fault = what;
    this.wire.trace.add(this.wire.time.now, 'FAULT', what);
    this.wire.time.stop();
  }

  /** When a person last told something of a line, ms. */
  changedAt(lineId: string): number {
    return this.saidAt.get(lineId) ?? 0;
  }

  /** Whether a person has told anything of a line, or of the wards, since. */
  saidSince(lineId: string, atMs: number): boolean {
    return Math.max(this.changedAt(lineId), this.changedAt('ward')) >= atMs;
  }

  async run(days: number): Promise<void> {
    const { time } = this.wire;
    const untilMs = time.now + days * dayMs;
    for (const [index] of this.processes.entries()) this.start(index);
    for (const spell of drawSpells(this.chance.of('spells'), time.now, untilMs - 60 * minuteMs)) {
      time.at(spell.from, () => {
        this.wire.trace.add(time.now, 'WEATHER', `${spell.kind} begins`);
        this.tally.add(`spell: ${spell.kind}`);
        this.weather.begin(spell);
        if (spell.kind === 'all down') for (const one of this.processes) one?.life.die('all down');
        if (spell.kind === 'queue wiped') this.wipe(spell.to);
      });
      time.at(spell.to, () => {
        this.wire.trace.add(time.now, 'WEATHER', `${spell.kind} is over`);
        this.weather.end(time.now);
        if (isSilence.has(spell.kind)) this.checks.reported.silence(spell.from);
      });
    }
    this.channels?.begin(this.chance.of('channels'), this.wardIds.map(channelOf), untilMs - 60 * minuteMs);
    this.everyMinute();
    await time.run(untilMs);
    if (this.fault === null) await this.checks.kept.end();
    this.tally.days += days;
  }

  private start(index: number): void {
    if (this.weather.now?.kind === 'all down') {
      this.wire.time.at(this.weather.now.to + 500, () => this.start(index));
      return;
    }
    const name = `${index === 0 ? 'a' : 'b'}.${++this.lives}`;
    this.wire.trace.add(this.wire.time.now, name, 'starts');
    this.allDown?.(this.wire.time.now);
    this.allDown = null;
    const skewMs = Math.round(this.chance.between(-this.skewMs, this.skewMs));
    this.processes[index] = new BotProcess(this, name, skewMs, (why) => this.dies(index, why));
  }

  private dies(index: number, why: string): void {
    const process = this.processes[index];
    if (!process) return;
    const { time, trace } = this.wire;
    process.life.alive = false;
    this.processes[index] = null;
    trace.add(time.now, process.life.name, `dies ${why}`);
    this.tally.add('deaths of a process');
    if (this.processes.every((one) => one === null)) this.allDown ??= this.weather.hinders(time.now);
    time.after(
      this.chance.happens(0.8) ? this.chance.between(500, 20_000) : this.chance.between(20_000, 400_000),
      () => this.start(index),
    );
  }

  private wipe(untilMs: number): void {
    const { time } = this.wire;
    this.alarm.wipe();
    if (time.now + minuteMs < untilMs) time.after(minuteMs, () => this.wipe(untilMs));
  }

  /** The platform posts what was left with it once its time has come. */
  private everyMinute(): void {
    const { time, trace } = this.wire;
    time.after(minuteMs, () => this.everyMinute());
    for (const [wardId, at] of this.lastWord) {
      if (at > time.now) continue;
      this.lastWord.delete(wardId);
      // Where the record is as it was, the next push would leave none.
      this.pushedAt = -1;
      // It can't be posted either.
      if (this.channels?.why(channelOf(wardId))) continue;
      trace.add(time.now, 'platform', `the last word of ${wardId}`);
      this.tally.add('last words spoken');
      this.checks.reported.lastWord(wardId);
    }
  }

  private shutChannels(): ShutChannels {
    const { time, trace } = this.wire;
    return new ShutChannels(time, {
      changed: (channel, heardAfterMs) => {
        const why = this.channels?.why(channel) ?? null;
        trace.add(time.now, 'platform', `${channel} is ${why ?? 'open again'}`);
        this.tally.add(`channel: ${why ?? 'open again'}`);
        if (why === null) this.checks.whileShut?.back(channel);
        const wardId = this.wardIds.find((one) => channelOf(one) === channel) ?? '';
        if (heardAfterMs !== null) time.after(heardAfterMs, () => this.anyProcess()?.hearsOf(wardId));
      },
      called: (channel) => this.checks.whileShut?.called(channel),
      refused: (channel, needs) => this.checks.whileShut?.refused(channel, needs),
    });
  }

  private observed(): WardRecord {
    return {
      ...this.store,
      commit: async (wardId, change) => {
        const committed = await this.store.commit(wardId, change);
        if (committed.is === 'written') await this.committed(wardId, change);
        else this.tally.add(`commits answered ${committed.is}`);
        return committed;
      },
      takePost: async (...asked) => {
        const taken = await this.store.takePost(...asked);
        if ('row' in taken) this.checks.whileShut?.taken(asked[0], taken.row);
        return taken;
      },
      postDone: async (wardId, key, ...more) => {
        await this.store.postDone(wardId, key, ...more);
        this.checks.whileShut?.done(wardId, key);
      },
    };
  }

  private async committed(wardId: string, change: Change): Promise<void> {
    this.changes += 1;
    this.tally.add('commits');
    const now = this.wire.time.now;
    for (const { id, entries } of change.lines)
      if (entries.some(({ by }) => by !== 'bot')) this.saidAt.set(id, now);
    if (change.ward && change.ward.entries.length > 0) this.saidAt.set('ward', now);
    this.checks.committed(wardId, change, await this.peek(wardId));
  }
}

/** Instants at which runs begin: an ordinary Tuesday, and the days before the clocks change, both ways. */
const begins = [Date.UTC(2026, 10, 24, 7), Date.UTC(2026, 9, 24, 5, 30), Date.UTC(2027, 2, 27, 17)] as const;

const manners: Record<'punctual' | 'overloaded' | 'absent', Manner> = {
  punctual: { acts: 0.95, afterMin: [1, 8] },
  overloaded: { acts: 0.6, afterMin: [4, 40] },
  absent: { acts: 0, afterMin: [0, 0] },
};

function drawPolicy(chance: Chance): WardPolicy {
  const policy = defaultPolicy(chance.happens(0.05) ? 'Europe/Berlin' : 'UTC');
  return {
    ...policy,
    ...(chance.happens(0.5) ? { lead: 'lena' } : {}),
    ...(chance.happens(0.5) ? { backup: 'bruno' } : {}),
    ...(chance.happens(0.7) ? { rota: { day: 'vera', night: 'viktor' } } : {}),
  };
}
