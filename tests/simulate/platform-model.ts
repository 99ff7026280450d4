import {
  WebAPIHTTPError,
  WebAPIPlatformError,
  WebAPIRateLimitedError,
  WebAPIRequestError,
  type WebClient,
} from '@slack/web-api';
import { type ActionValue, readActionValue } from '../../src/chat/action-value.ts';
import type { ShutChannels } from './shut-channels.ts';
import type { Unread } from './unread.ts';
import type { VirtualTime } from './virtual-time.ts';
import type { Weather } from './weather.ts';
import { type Fate, type Life, overWire, type Wire } from './wire.ts';

/** A duty that a button of a message asks for. */
export interface Ask {
  line: string;
  kind: string;
  dueAt: number;
}

/** A message as everybody sees it. */
export interface Shown {
  /** The post that it is. */
  key: string;
  ward: string;
  channel: string;
  ts: string;
  text: string;
  asks: Ask[];
  /** When it came, and when its words were last changed, ms. */
  at: number;
  editedAt: number;
}

interface Sent {
  channel: string;
  ts?: string;
  text?: string;
  blocks?: readonly unknown[];
  metadata?: { event_payload?: { key?: string; ward?: string } };
}

/** What the platform tells whoever watches: a message came, or was changed. */
export interface PlatformWatch {
  came(message: Shown): void;
  changed(message: Shown): void;
  gone(message: Shown): void;
}

/** The chat platform: channels with what stands in them. It is right always; what goes wrong is on the way to it. */
export class PlatformModel {
  readonly channels = new Map<string, Shown[]>();
  private readonly time: VirtualTime;
  private readonly watch: PlatformWatch;
  private readonly unread: Unread;
  /** Null where no channel is ever shut. */
  readonly shut: ShutChannels | null;
  private lastTs = 0;

  constructor(time: VirtualTime, unread: Unread, watch: PlatformWatch, shut: ShutChannels | null = null) {
    this.shut = shut;
    this.time = time;
    this.unread = unread;
    this.watch = watch;
  }

  in(channel: string): Shown[] {
    const there = this.channels.get(channel) ?? [];
    this.channels.set(channel, there);
    return there;
  }

  post({ channel, text = '', blocks = [], metadata }: Sent): { channel: string; ts: string } {
    this.unread.refuse(channel, this.time.now);
    this.shut?.refuse(channel, 'posting');
    const place = /^[CD]/.test(channel) ? channel : `D${channel}`;
    // Stamps are of a microsecond and unique.
    this.lastTs = Math.max(Math.floor(this.time.now * 1_000), this.lastTs + 1);
    const ts = (this.lastTs / 1e6).toFixed(6);
    const { key = '', ward = '' } = metadata?.event_payload ?? {};
    const { now } = this.time;
    const message = { key, ward, channel: place, ts, text, asks: asksOf(blocks), at: now, editedAt: now };
    this.in(place).push(message);
    this.watch.came(message);
    return { channel: place, ts };
  }

  update({ channel, ts, text = '', blocks = [] }: Sent): void {
    this.shut?.refuse(channel, 'changing');
    const message = this.in(channel).find((one) => one.ts === ts);
    if (!message) throw new WebAPIPlatformError({ ok: false, error: 'message_not_found' });
    message.text = text;
    message.asks = asksOf(blocks);
    message.editedAt = this.time.now;
    this.watch.changed(message);
  }

  delete({ channel, ts }: { channel: string; ts: string }): void {
    this.shut?.refuse(channel, 'taking away');
    const there = this.in(channel);
    const index = there.findIndex((one) => one.ts === ts);
    if (index < 0) throw new WebAPIPlatformError({ ok: false, error: 'message_not_found' });
    const [message] = there.splice(index, 1);
    if (message) this.watch.gone(message);
  }

  history(channel: string, oldest: string): object[] {
    this.shut?.refuse(channel, 'reading');
    return this.in(channel)
      .filter(({ ts }) => Number(ts) >= Number(oldest))
      .toReversed()
      .map(({ key, ward, ts }) => ({
        ts,
        metadata: { event_type: 'dicrotic_post', event_payload: { key, ward } },
      }));
  }
}

/** Which duties the buttons of a message ask for. */
function asksOf(blocks: readonly unknown[]): Ask[] {
  const asks: Ask[] = [];
  for (const block of blocks as { elements?: unknown; accessory?: unknown }[]) {
    const elements = Array.isArray(block.elements) ? block.elements : [];
    for (const element of [...elements, block.accessory] as ({ value?: string } | undefined)[]) {
      const value = element?.value === undefined ? null : readActionValue(element.value);
      if (value) asks.push(...askedBy(value));
    }
  }
  return asks;
}

function askedBy({ l, d = [], a = [], e = [] }: ActionValue): Ask[] {
  return [
    ...(l === undefined ? [] : d.map(([kind, dueAt]) => ({ line: l, kind, dueAt }))),
    ...a.map(([line, dueAt]) => ({ line, kind: 'flush', dueAt })),
    ...e.map(([line, kind, dueAt]) => ({ line, kind, dueAt })),
  ];
}

/** How the platform answers when it fails: of most it cannot be said whether it did what was asked. */
const failures = [
  () => new WebAPIHTTPError(503, 'Service Unavailable', {}),
  () => new WebAPIHTTPError(500, 'Internal Server Error', {}),
  () => new WebAPIRequestError(new Error('ECONNRESET')),
  () => new WebAPIRequestError(new Error('timed out')),
  () => new WebAPIPlatformError({ ok: false, error: 'internal_error' }),
] as const;

/** So long after it said that it failed the platform does it all the same, ms: before anybody looks, 2 s later. */
const lateMs = 1_000;

function fateOfCall({ chance }: Wire, { rates, clocksAgree }: Weather): Fate {
  if (chance.happens(rates.dies)) return { is: chance.happens(0.5) ? 'dies before' : 'dies after' };
  if (chance.happens(rates.platformBusy))
    return { is: 'lost', error: new WebAPIRateLimitedError(Math.ceil(chance.between(1, 10))) };
  if (!chance.happens(rates.platformLost)) return { is: 'done' };
  const error = chance.pick(failures)();
  if (clocksAgree && chance.happens(0.1))
    return { is: 'done late', error, lateMs: chance.between(0, lateMs) };
  return { is: chance.happens(0.4) ? 'unheard' : 'lost', error };
}

/** The platform's client as one process has it: what the messenger calls, and nothing more. */
export function platformWire(wire: Wire, weather: Weather, life: Life, platform: PlatformModel): WebClient {
  const call = <T>(what: string, doing: () => T) =>
    overWire(wire, life, 'platform', what, fateOfCall(wire, weather), async () => doing());
  const client = {
    chat: {
      postMessage: (sent: Sent) =>
        call(`post ${sent.metadata?.event_payload?.key} to ${sent.channel}`, () => ({
          ok: true,
          ...platform.post(sent),
        })),
      update: (sent: Sent) =>
        call(`update ${sent.channel} ${sent.ts}`, () => {
          platform.update(sent);
          return { ok: true };
        }),
      delete: (sent: { channel: string; ts: string }) =>
        call(`take away ${sent.channel} ${sent.ts}`, () => {
          platform.delete(sent);
          return { ok: true };
        }),
      scheduleMessage: ({ channel }: { channel: string }) =>
        call(`leave a message for ${channel}`, () => {
          platform.shut?.refuse(channel, 'scheduling');
          return { ok: true, scheduled_message_id: 'Q0' };
        }),
      deleteScheduledMessage: ({ channel }: { channel: string }) =>
        call(`take back a message left for ${channel}`, () => ({ ok: true })),
    },
    conversations: {
      info: ({ channel }: { channel: string }) =>
        call(`look at ${channel}`, () => ({ ok: true, channel: platform.shut?.describe(channel) })),
      open: ({ users }: { users: string }) =>
        call(`open ${users}`, () => ({ ok: true, channel: { id: `D${users}` } })),
      history: ({ channel, oldest }: { channel: string; oldest: string }) =>
        call(`look through ${channel}`, () => ({ ok: true, messages: platform.history(channel, oldest) })),
      replies: ({ channel, oldest }: { channel: string; oldest: string }) =>
        call(`look through a thread of ${channel}`, () => ({
          ok: true,
          messages: platform.history(channel, oldest),
        })),
    },
  };
  return client as unknown as WebClient;
}
