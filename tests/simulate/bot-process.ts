import { wake } from '../../jobs/wake.ts';
import { animalsRecord } from '../../src/app/animals-record.ts';
import type { JobDeps } from '../../src/app/app-deps.ts';
import { deliverEverywhere } from '../../src/app/deliver-everywhere.ts';
import { deliverPosts } from '../../src/app/deliver-posts.ts';
import { pushLastWords } from '../../src/app/last-word.ts';
import { type Beat, type Heartbeat, noticeDowntime, type Untold } from '../../src/app/notice-downtime.ts';
import type { Composed, Messenger, Post, WardView, Watch } from '../../src/app/ports.ts';
import { sweepWards } from '../../src/app/sweep-wards.ts';
import { wakeWard } from '../../src/app/wake-ward.ts';
import { aside } from '../../src/aside.ts';
import { slackMessenger } from '../../src/slack/slack-messenger.ts';
import type { Worker } from './alarm-model.ts';
import { platformWire } from './platform-model.ts';
import { fateOfCommand, storeWire } from './store-wire.ts';
import { type Life, overWire } from './wire.ts';
import type { World } from './world.ts';

const sweepEveryMs = 30_000;
const pushLastWordEveryMs = 4 * 60_000;

/** The jobs' last sign of life, as it lies in the store. */
export interface StoredBeat {
  beat: Beat | null;
  untold: readonly Untold[];
}

/**
 * One process of the bot, chat and jobs, put together as `src/service.ts` puts it, on wires that fail. It has no memory but its
 * own: when it dies, all of that is gone.
 */
export class BotProcess implements Worker {
  readonly life: Life;
  readonly deps: JobDeps;
  /** How far its clock is ahead, ms. */
  readonly skewMs: number;
  private readonly world: World;
  private readonly deliverAll;
  private readonly heartbeat: Heartbeat;
  private sweeping = false;
  /** The record's count of changes at its last sweep that did everything; an idle ward is not looked at again. */
  private sweptAt = -1;
  private ids = 0;

  constructor(world: World, name: string, skewMs: number, die: (why: string) => void) {
    this.world = world;
    this.skewMs = skewMs;
    const life: Life = { name, alive: true, die };
    this.life = life;
    const { wire, weather } = world;
    this.deps = {
      record: animalsRecord(storeWire(wire, weather, life, world.seen)),
      clock: { now: () => this.now() },
      realNow: () => this.realNow(),
      alarm: world.alarm.of(life, this),
      watch: watchOf(world, life),
      newId: () => `${name.replaceAll('.', '')}x${(++this.ids).toString(36)}`,
      messenger: this.messenger(),
    };
    const failed = (cause: unknown) => this.deps.watch.trouble('a sweep could not send', {}, cause);
    this.deliverAll = aside(() => deliverEverywhere(this.deps), failed);
    this.heartbeat = this.storedHeartbeat();
    this.everySweep();
    this.everyPush();
  }

  now(): number {
    return Math.floor(this.world.wire.time.now + this.skewMs);
  }

  realNow(): number {
    return this.now();
  }

  wake(data: { wardId: string; atMs: number }): Promise<void> {
    return wake(data, {
      wakeWard: (wardId) => wakeWard(this.deps, wardId),
      now: () => this.now(),
      rate: () => 1,
      late: () => undefined,
      wait: (ms) =>
        new Promise((resolve) => this.world.wire.time.after(ms, () => this.life.alive && resolve())),
    });
  }

  post(wardId: string): Promise<void> {
    return deliverPosts(this.deps, wardId);
  }

  private everySweep(): void {
    const { time } = this.world.wire;
    if (!this.life.alive) return;
    time.after(sweepEveryMs, () => this.everySweep());
    if (this.sweeping) return;
    if (this.isIdle()) {
      this.world.stored.beat = { realMs: this.realNow(), wardMs: this.now() };
      return;
    }
    this.sweeping = true;
    const changes = this.world.changes;
    let isWhole = true;
    void (async () => {
      try {
        await noticeDowntime(this.deps, this.heartbeat);
        await sweepWards(this.deps, { deep: true });
        this.deliverAll.start();
        await this.deliverAll.done();
      } catch (cause) {
        isWhole = false;
        this.deps.watch.trouble('a sweep failed; the next one tries again', {}, cause);
      }
      this.sweeping = false;
      if (isWhole && this.world.changes === changes) this.sweptAt = changes;
    })();
  }

  /**
   * Whether a sweep would do nothing: the record is as the last one left it, nothing is due and no message waits. Most of a ward's
   * day is like that, and ten thousand days are to be seen.
   */
  private isIdle(): boolean {
    const { world } = this;
    const soon = this.now() + sweepEveryMs;
    return (
      this.sweptAt === world.changes &&
      world.weather.now === null &&
      world.stored.untold.length === 0 &&
      world.stored.beat !== null &&
      this.realNow() - world.stored.beat.realMs < 2 * sweepEveryMs &&
      world.nextDue() > soon &&
      world.nextPost() > soon
    );
  }

  private everyPush(): void {
    const { world } = this;
    const { time } = world.wire;
    if (!this.life.alive) return;
    time.after(pushLastWordEveryMs, () => this.everyPush());
    void pushLastWords(
      { ...this.deps, record: { ...this.deps.record, readWard: (wardId) => world.peek(wardId) } },
      {
        leave: (wardId, atMs) =>
          this.overPlatform('leave the last word', async () => world.lastWord.set(wardId, atMs - this.skewMs)),
        takeBack: (wardId) =>
          this.overPlatform('take the last word back', async () => void world.lastWord.delete(wardId)),
      },
      1,
    ).catch(() => undefined);
  }

  private overPlatform<T>(what: string, doing: () => Promise<T>): Promise<void> {
    const { wire, weather } = this.world;
    const isLost = wire.chance.happens(weather.rates.platformLost);
    const fate = isLost ? ({ is: 'lost', error: new Error('ECONNRESET') } as const) : ({ is: 'done' } as const);
    return overWire(wire, this.life, 'platform', what, fate, async () => void (await doing()));
  }

  private storedHeartbeat(): Heartbeat {
    const { wire, weather, stored } = this.world;
    const over = <T>(writes: boolean, what: string, doing: () => T) =>
      overWire(wire, this.life, 'store', what, fateOfCommand(wire, weather, writes), async () => doing());
    return {
      last: () => over(false, 'read the sign of life', () => stored.beat),
      untold: () => over(false, 'read who is untold', () => [...stored.untold]),
      beat: (now, untold) =>
        over(true, 'leave a sign of life', () => {
          stored.beat = now;
          stored.untold = [...untold];
        }),
    };
  }

  /** The real messenger; what it composed is remembered, so that what stands can be compared with the record. */
  private messenger(): Messenger {
    const { world } = this;
    const real = slackMessenger(platformWire(world.wire, world.weather, this.life, world.platform), {
      names: { of: async (user) => user },
      audits: {
        of: () => Promise.reject(new Error('audits are not simulated')),
      } as unknown as Parameters<typeof slackMessenger>[1]['audits'],
      sharePicture: async () => undefined,
      handoverFiles: null,
      command: '/artline',
    });
    return {
      ...real,
      async compose(post: Post, view: WardView, now: number): Promise<Composed> {
        const composed = await real.compose(post, view, now);
        world.checks.composed(view.ward.id, post, composed);
        return composed;
      },
      async send(wardId, post, composed) {
        const delivery = await real.send(wardId, post, composed);
        if (delivery.is === 'refused' && delivery.forGood) world.checks.refused(wardId, post);
        return delivery;
      },
    };
  }
}

function watchOf(world: World, { name }: Life): Watch {
  const { tally } = world;
  return {
    entryAccepted: () => tally.add('entries accepted'),
    conflict: () => tally.add('conflicts'),
    told: (_, lateMs) => tally.toldLateMs.push(lateMs),
    posted: (outcome) => tally.add(`post ${outcome}`),
    repaired: (count) => tally.add('wake-ups repaired', count),
    trouble(what, ids, cause) {
      world.wire.trace.add(world.wire.time.now, name, `trouble: ${what} ${cause ?? ''}`);
      world.checks.trouble(what, ids);
      tally.add(`trouble: ${what}`);
    },
  };
}
