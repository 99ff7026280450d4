import { animalsRecord } from '../../src/app/animals-record.ts';
import type { JobDeps } from '../../src/app/app-deps.ts';
import { deliverEverywhere } from '../../src/app/deliver-everywhere.ts';
import { deliverPosts } from '../../src/app/deliver-posts.ts';
import { type LastWord, lastWordAfterMs, pushLastWord } from '../../src/app/last-word.ts';
import {
  type Beat,
  type Heartbeat,
  noticeDowntime,
  type WardToNotify,
} from '../../src/app/notice-downtime.ts';
import type { Composed, Messenger, Post, WardView, Watch } from '../../src/app/ports.ts';
import { lookAtChannel } from '../../src/app/shut-channel.ts';
import { sweepWards } from '../../src/app/sweep-wards.ts';
import { wakeInTurn } from '../../src/app/wake-in-turn.ts';
import type { Standing } from '../../src/chat/people.ts';
import { channelOf } from '../../src/chat/ward-id.ts';
import { wake } from '../../src/jobs/wake.ts';
import { aside } from '../../src/service/aside.ts';
import { behindReminders } from '../../src/service/behind-reminders.ts';
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
  untold: readonly WardToNotify[];
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
  private ids = 0;

  constructor(world: World, name: string, skewMs: number, die: (why: string) => void) {
    this.world = world;
    this.skewMs = skewMs;
    const life: Life = { name, alive: true, die };
    this.life = life;
    const { wire, weather } = world;
    const alarm = world.alarm.of(life, this);
    const messenger = this.messenger();
    this.deps = {
      record: animalsRecord(storeWire(wire, weather, life, world.seen, world.channels !== null)),
      clock: { now: () => this.now() },
      realNow: () => this.realNow(),
      alarm: world.broken.alarm?.(alarm) ?? alarm,
      watch: watchOf(world, life),
      newId: () => `${name.replaceAll('.', '')}x${(++this.ids).toString(36)}`,
      messenger: world.broken.messenger?.(messenger) ?? messenger,
      behind: behindReminders(() => this.deps, { begun: () => undefined }),
      ...(world.channels
        ? { firstLineIn: (wardId: string) => void pushLastWord(this.deps, this.lastWord(), wardId, 1) }
        : {}),
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
      wakeWard: (wardId) => wakeInTurn(this.deps, wardId),
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

  /** The platform says that something has changed about a ward's channel. */
  hearsOf(wardId: string): void {
    lookAtChannel(this.deps, wardId).catch((cause: unknown) =>
      this.deps.watch.trouble('a channel could not be looked at', { wardId }, cause),
    );
  }

  private everySweep(): void {
    const { time } = this.world.wire;
    if (!this.life.alive) return;
    time.after(sweepEveryMs, () => this.everySweep());
    if (this.sweeping || this.world.broken.neverSweeps) return;
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
      if (isWhole && this.world.changes === changes) this.world.sweptAt = changes;
    })();
  }

  /**
   * Whether a sweep would do nothing: the record is as the last one left it, nothing is due and no message waits. Most of a ward's
   * day is like that, and ten thousand days are to be seen.
   */
  private isIdle(): boolean {
    const { world } = this;
    const { stored, weather } = world;
    return (
      world.sweptAt === world.changes &&
      // Where the store is in trouble the sign of life may be missing.
      weather.rates.storeLost < 0.01 &&
      stored.untold.length === 0 &&
      stored.beat !== null &&
      this.realNow() - stored.beat.realMs < 2 * sweepEveryMs &&
      world.nextDue() > this.now() &&
      world.nextPost() > this.realNow()
    );
  }

  /** The platform's own message that speaks for a dead bot is pushed ahead; where the record is as it was, by one step. */
  private everyPush(): void {
    const { world } = this;
    const { time } = world.wire;
    if (!this.life.alive) return;
    time.after(pushLastWordEveryMs, () => this.everyPush());
    const { rates } = world.weather;
    if (world.pushedAt === world.changes && rates.platformLost < 0.01 && rates.storeLost < 0.01) {
      for (const wardId of world.lastWord.keys()) world.lastWord.set(wardId, time.now + lastWordAfterMs);
      return;
    }
    const changes = world.changes;
    void this.pushAll().then(
      (isWhole) => {
        if (isWhole) world.pushedAt = changes;
      },
      () => undefined,
    );
  }

  /** Whether each ward's was left or taken back. */
  private async pushAll(): Promise<boolean> {
    let isWhole = true;
    for (const wardId of await this.deps.record.wardIds())
      if ((await pushLastWord(this.deps, this.lastWord(), wardId, 1)) === 'failed') isWhole = false;
    return isWhole;
  }

  private lastWord(): LastWord {
    const { lastWord } = this.world;
    return {
      leave: (wardId, atMs) =>
        this.overPlatform('leave the last word', () => {
          this.world.channels?.refuse(channelOf(wardId), 'scheduling');
          lastWord.set(wardId, atMs - this.skewMs);
        }),
      takeBack: (wardId) => this.overPlatform('take the last word back', () => lastWord.delete(wardId)),
    };
  }

  private overPlatform(what: string, doing: () => unknown): Promise<void> {
    const { wire, weather } = this.world;
    const isLost = wire.chance.happens(weather.rates.platformLost);
    const fate = isLost
      ? ({ is: 'lost', error: new Error('ECONNRESET') } as const)
      : ({ is: 'done' } as const);
    return overWire(wire, this.life, 'platform', what, fate, async () => void doing());
  }

  private storedHeartbeat(): Heartbeat {
    const { wire, weather, stored } = this.world;
    const over = <T>(writes: boolean, what: string, doing: () => T) =>
      overWire(wire, this.life, 'store', what, fateOfCommand(wire, weather, writes), async () => doing());
    return {
      last: () =>
        over(false, 'read the sign of life', () => (this.world.broken.noticesNoSilence ? null : stored.beat)),
      unnotified: () => over(false, 'read who is untold', () => [...stored.untold]),
      beat: (now, untold) =>
        over(true, 'leave a sign of life', () => {
          stored.beat = now;
          if (untold) stored.untold = [...untold];
        }),
    };
  }

  /** What becomes of an account, where the platform can be asked. */
  private standing(user: string): Promise<Standing | null> {
    const { wire, weather, unread } = this.world;
    const isLost = wire.chance.happens(weather.rates.platformLost);
    const fate = isLost
      ? ({ is: 'lost', error: new Error('ECONNRESET') } as const)
      : ({ is: 'done' } as const);
    return overWire(wire, this.life, 'platform', `look up ${user}`, fate, async () =>
      unread.standing(user, wire.time.now),
    ).catch(() => null);
  }

  /** The real messenger; what it composed is remembered, so that what stands can be compared with the record. */
  private messenger(): Messenger {
    const { world } = this;
    const real = slackMessenger(platformWire(world.wire, world.weather, this.life, world.platform), {
      names: { of: async (user) => user },
      people: { standing: (user) => this.standing(user), zone: async () => null },
      clock: { now: () => this.now() },
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
    notified: (_, lateMs) => tally.toldLateMs.push(lateMs),
    posted: (outcome) => tally.add(`post ${outcome}`),
    repaired: (count) => tally.add('wake-ups repaired', count),
    trouble(what, ids, cause) {
      world.wire.trace.add(
        world.wire.time.now,
        name,
        `trouble: ${what} ${cause instanceof Error ? cause.message : ''}`,
      );
      world.checks.trouble(what, ids);
      tally.add(`trouble: ${what}`);
    },
  };
}
