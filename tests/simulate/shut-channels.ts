import { WebAPIPlatformError } from '@slack/web-api';
import type { ShutReason } from '../../src/domain/ward/channel.ts';
import type { Chance } from '../../src/invented/chance.ts';
import type { VirtualTime } from './virtual-time.ts';

const minuteMs = 60_000;

/** Why a channel can't be posted in here: the bot isn't taken out of the whole workspace. */
type Why = Exclude<ShutReason, 'uninstalled'>;

/** What a call would do in a channel. `scheduling`: leave a message for later. */
export type Needs = 'posting' | 'scheduling' | 'changing' | 'taking away' | 'reading';

/** What the platform answers, by why the channel is shut and what a call is like; null where it takes the call all the same. */
const answers: Record<Why, Record<'posting' | 'changing' | 'reading', string | null>> = {
  archived: { posting: 'is_archived', changing: 'is_inactive', reading: null },
  removed: { posting: 'not_in_channel', changing: 'not_in_channel', reading: 'not_in_channel' },
  'not found': {
    posting: 'channel_not_found',
    changing: 'channel_not_found',
    reading: 'channel_not_found',
  },
  'not allowed': { posting: 'restricted_action', changing: null, reading: null },
};

const likeness: Record<Needs, keyof (typeof answers)[Why]> = {
  posting: 'posting',
  scheduling: 'posting',
  changing: 'changing',
  'taking away': 'changing',
  reading: 'reading',
};

/** A time in which a channel is shut, for one reason after another. */
export interface Shut {
  channel: string;
  from: number;
  to: number;
  /** Each reason with when it begins, ms. */
  whys: [from: number, why: Why][];
}

/** What hears of a channel. `heardAfterMs`: when the platform's event that something has changed comes; null where it's lost. */
export interface ChannelWatch {
  changed(channel: string, heardAfterMs: number | null): void;
  refused(channel: string, needs: Needs): void;
  called(channel: string): void;
}

/** Channels that somebody archives, takes the bot out of or lets no app post in, and opens again. */
export class ShutChannels {
  readonly shuts: Shut[] = [];
  private readonly watch: ChannelWatch;
  private readonly time: VirtualTime;

  constructor(time: VirtualTime, watch: ChannelWatch) {
    this.time = time;
    this.watch = watch;
  }

  /** Draws when each channel is shut, and says when something changes. */
  begin(chance: Chance, channels: readonly string[], untilMs: number): void {
    for (const channel of channels) {
      const draw = chance.of(channel);
      let from = this.time.now + draw.between(20, 300) * minuteMs;
      while (from < untilMs) {
        const shut = drawShut(draw, channel, from);
        this.shuts.push(shut);
        for (const [when] of [...shut.whys, [shut.to] as const]) {
          const heardAfterMs = draw.happens(0.5) ? draw.between(100, 3_000) : null;
          this.time.at(when, () => this.watch.changed(channel, heardAfterMs));
        }
        from = shut.to + (draw.happens(0.2) ? draw.between(0.1, 5) : draw.between(20, 400)) * minuteMs;
      }
    }
  }

  /** The time in which a channel is shut now; null while it's open. */
  shut(channel: string): Shut | null {
    const { now } = this.time;
    return this.shuts.find((one) => one.channel === channel && one.from <= now && now < one.to) ?? null;
  }

  why(channel: string): Why | null {
    const { now } = this.time;
    return this.shut(channel)?.whys.findLast(([from]) => from <= now)?.[1] ?? null;
  }

  /** Whether a channel was shut at any time between. */
  wasShut(channel: string, from: number, to: number): boolean {
    return this.shuts.some((one) => one.channel === channel && one.from < to && one.to > from);
  }

  /** From when on a promise made at `from` about a channel counts: as `Weather.countsFrom`, of the times in which it was shut. */
  countsFrom(channel: string, from: number): number {
    const { now } = this.time;
    let counts = from;
    for (const one of this.shuts)
      if (one.channel === channel && one.to > from && one.from <= now)
        counts = Math.max(counts, one.to > now ? Number.POSITIVE_INFINITY : one.to);
    return counts;
  }

  /** Throws what the platform answers where a channel is shut to such a call. */
  refuse(channel: string, needs: Needs): void {
    this.watch.called(channel);
    const why = this.why(channel);
    const error = why === null ? null : answers[why][likeness[needs]];
    if (error === null) return;
    this.watch.refused(channel, needs);
    throw new WebAPIPlatformError({ ok: false, error });
  }

  /** What `conversations.info` says. */
  describe(channel: string): { is_archived: boolean; is_member: boolean } {
    this.watch.called(channel);
    const why = this.why(channel);
    if (why === 'not found') throw new WebAPIPlatformError({ ok: false, error: 'channel_not_found' });
    return { is_archived: why === 'archived', is_member: why !== 'removed' };
  }
}

function drawShut(draw: Chance, channel: string, from: number): Shut {
  const lasts = () => (draw.happens(0.5) ? draw.between(0.1, 12) : draw.between(12, 200)) * minuteMs;
  const first = draw.weighted({ archived: 4, removed: 2, 'not found': 1, 'not allowed': 2 });
  const whys: Shut['whys'] = [[from, first]];
  let to = from + lasts();
  // Unarchiving may leave the bot outside.
  if (first === 'archived' && draw.happens(0.4)) {
    whys.push([to, 'removed']);
    to += lasts();
  }
  return { channel, from, to, whys };
}
