import { setTimeout as pause } from 'node:timers/promises';
import type { Audits } from '../../src/app/audits.ts';
import { type HurriedClock, hurriedClock } from '../../src/app/clock.ts';
import type { Alarm, WardRecord } from '../../src/app/ports.ts';
import type { LineState } from '../../src/domain/record/line-state.ts';
import type { JobCases } from '../../src/jobs/worker.ts';
import type { Log } from '../../src/observe/log.ts';
import { createMetrics } from '../../src/observe/metrics.ts';
import type { LogFields } from '../../src/observe/safe-fields.ts';
import type { Traces } from '../../src/observe/traces.ts';
import type { Submission } from '../../src/practice/platform/form-driver.ts';
import type { EphemeralMessage, Json, StoredMessage } from '../../src/practice/platform/message.ts';
import type { Press } from '../../src/practice/platform/message-driver.ts';
import type { Platform } from '../../src/practice/platform/platform.ts';
import { startPlatform } from '../../src/practice/platform/start-platform.ts';
import type { OpenView } from '../../src/practice/platform/views.ts';
import type { PracticeWorld } from '../../src/practice/platform/world.ts';
import { practiceWorld } from '../../src/practice/practice-world.ts';
import { openCommands, untilReady } from '../../src/redis/connections.ts';
import type { Copies } from '../../src/redis/copies.ts';
import { type Service, startService } from '../../src/service/service.ts';
import { freePort } from './free-ports.ts';
import type { SharedRedis } from './shared-redis.ts';

const signingSecret = 'a-signing-secret-of-the-tests';

/** The invented ward: its channel, one without the bot, and who is in them. */
export const east = 'C0WARDEAST';
export const tearoom = 'C0TEAROOM0';
export const wardId = 'T0PRACTICE.C0WARDEAST';
export const ina = 'U0NURSEINA';
export const teo = 'U0NURSETEO';
export const suvi = 'U0CLINSUVI';
/** In the tea room only. */
export const outsider = 'U0OUTSIDER';

export const minute = 60_000;
export const hour = 60 * minute;

/** The practice hospital with one more person, who is in the tea room and not on the ward. */
export function hospital(): PracticeWorld {
  const world = practiceWorld();
  return {
    ...world,
    users: [...world.users, { id: outsider, handle: 'rui', name: 'Rui Esteves', zone: 'UTC', part: 'nurse' }],
    channels: world.channels.map((channel) =>
      channel.id === tearoom ? { ...channel, memberIds: [...channel.memberIds, outsider] } : channel,
    ),
  };
}

/** How the bot is reached, and what differs from the usual evening. */
export interface BotOptions {
  mode: 'socket' | 'http';
  redis: SharedRedis;
  /** Ward time at the start; Tuesday 24 Nov 2026, 19:20 UTC unless told. */
  startMs?: number;
  world?: PracticeWorld;
  /** Whether a handover brings its picture and its page; each takes threads of its own, so only where a test looks at them. */
  handoverFiles?: boolean;
  /** Makes the audits; the bot's own thread unless told. */
  audits?: Audits;
  /** What replicas confirm; there are none unless told. */
  copies?: Copies;
  /** Where the time goes is told here; to nobody unless told. */
  traces?: Traces;
  /** What the process does; both unless told. */
  roles?: readonly ('chat' | 'jobs')[];
}

/** What a person got to see in answer: a private message, a direct message, or a form. */
export type Answer = { text: string; message?: EphemeralMessage | StoredMessage; view?: OpenView };

/** The whole bot on a real Redis, reached by a real Bolt app through the stand-in for the chat platform. */
export interface BotOnPlatform {
  platform: Platform;
  clock: HurriedClock;
  record: WardRecord;
  /** What the operator would have been told, by the event's name. */
  troubles: string[];
  /** Types after the slash command and waits for the answer. */
  type(user: string, text: string, channel?: string): Promise<Answer>;
  /** Presses the button whose action id begins with `action`, in a message or in this person's form. */
  press(user: string, action: string, where: PressedIn, more?: Partial<Press>): Promise<Answer>;
  /** Fills this person's form and sends it; waits for the sentence that follows when it was taken. */
  submit(user: string, values?: Parameters<Platform['fill']>[1]): Promise<Submission & { answer?: Answer }>;
  /** Moves the ward clock to `atMs`, stopping at every instant at which something comes due by itself. */
  advanceTo(atMs: number): Promise<void>;
  /** Moves the ward clock to the next instant at which something comes due, and says when that is. */
  nextEvent(): Promise<number>;
  /** Looks at every ward once, as the sweep does, and delivers what waits. */
  sweep(): Promise<void>;
  /** Wakes the ward, as its alarm does, and waits for what follows. */
  wake(): Promise<void>;
  /** The same, but waits for nothing: for tests in which messages cannot get out. */
  look(): Promise<void>;
  /** Lets a second of real time pass without waiting for it: the next press is no double tap. */
  slowly(): void;
  /** Lets real time pass in which nobody sweeps: the jobs are silent. */
  silently(ms: number): void;
  /** What /readyz asks. */
  checks(): Service['checks'];
  /** The record of a ward was emptied on purpose: it's no loss. */
  emptied(wardId: string): void;
  /** Waits until no message waits in any outbox. */
  quiet(): Promise<void>;
  /** Stops the bot (or leaves it as it is, as a killed one would be) and starts another on the same Redis. */
  restart(how?: 'stopped' | 'killed'): Promise<void>;
  /** The ward's line of this patient. */
  line(name: string): Promise<LineState>;
  stop(): Promise<void>;
}

export type PressedIn = { message: { ts: string; blocks?: Json[]; channel?: string } } | { view: OpenView };

const eveningMs = Date.parse('2026-11-24T19:20:00Z');

/** Real time that passed only because a lane or a retry waits is not waited out: `Date.now` is moved on instead. */
const realTime = (() => {
  const machine = Date.now.bind(Date);
  let skippedMs = 0;
  let running = 0;
  return {
    start() {
      running += 1;
      Date.now = () => machine() + skippedMs;
    },
    /** The last bot to stop gives the machine's clock back: other files of this worker go by it. */
    stop() {
      running -= 1;
      if (running > 0) return;
      skippedMs = 0;
      Date.now = machine;
    },
    skipTo(atMs: number) {
      skippedMs += Math.max(0, atMs - Date.now());
    },
  };
})();

export async function botOnPlatform(options: BotOptions): Promise<BotOnPlatform> {
  realTime.start();
  const { redis, mode } = options;
  const commands = openCommands(redis.connection, () => {});
  await untilReady(commands, 5_000);
  await commands.flushall();
  // Ward time stands still but for jumps, so that every time in a test is exact.
  const clock = hurriedClock(options.startMs ?? eveningMs, 1, () => 0);
  const world = options.world ?? hospital();
  const port = mode === 'http' ? await freePort() : 0;
  const platform = await startPlatform({
    port: 0,
    clock,
    hurried: clock,
    world,
    deliverTo: mode === 'http' ? { url: `http://127.0.0.1:${port}/slack/events`, signingSecret } : 'socket',
  });
  const troubles: string[] = [];
  const outbox = errandBoy();
  let service = await start();

  function start(): Promise<Service> {
    return startService({
      roles: new Set(options.roles ?? ['chat', 'jobs']),
      clock,
      redis: commands,
      redisTarget: redis.connection,
      alarm: outbox.alarm,
      slack: {
        apiUrl: platform.apiUrl,
        serves: { botToken: world.app.botToken },
        reach:
          mode === 'http'
            ? { by: 'http', signingSecret, port }
            : // The time that `realTime` skips isn't the platform's silence.
              { by: 'socket', appToken: world.app.appToken, pongWithinMs: 3_600_000 },
      },
      command: world.command,
      wardZone: 'UTC',
      log: troubleLog(troubles),
      metrics: createMetrics({ withProcessMetrics: false }),
      ...(options.copies ? { copies: options.copies } : {}),
      ...(options.traces ? { traces: options.traces } : {}),
      ...(options.audits ? { audits: options.audits } : {}),
      ...(options.handoverFiles ? {} : { handoverFiles: null }),
      startWorkers: async (cases) => {
        outbox.serve(cases);
        return { close: async () => outbox.leave(cases) };
      },
    });
  }
  const connected = () =>
    mode === 'http'
      ? Promise.resolve(true)
      : platform.until('the bot to connect', () => platform.connections() > 0);
  await connected();

  const bot: BotOnPlatform = {
    platform,
    clock,
    get record() {
      return service.record;
    },
    troubles,
    async type(user, text, channel) {
      const answered = answerFor(platform, user, text.startsWith('handover') ? (channel ?? east) : undefined);
      await platform.slash({ user, text, ...(channel ? { channel } : {}) });
      // The answer to this one goes through the outbox, whose lanes are not waited out.
      return text.startsWith('handover') ? meanwhile(() => this.quiet(), answered()) : answered();
    },
    async press(user, action, where, more = {}) {
      const blocks = ('view' in where ? (where.view.spec.blocks as Json[]) : where.message.blocks) ?? [];
      const button = buttonsIn(blocks).find(({ action_id }) => String(action_id).startsWith(action));
      if (!button)
        throw new Error(
          `No button ${action} here; there is ${
            buttonsIn(blocks)
              .map(({ action_id }) => String(action_id))
              .join(', ') || 'none'
          }.`,
        );
      const answered = answerFor(platform, user);
      await platform.press({
        user,
        actionId: String(button.action_id),
        ...('view' in where ? { viewId: where.view.id } : { messageTs: where.message.ts }),
        ...more,
      });
      return answered();
    },
    async submit(user, values = {}) {
      const view = platform.view(user);
      if (!view) throw new Error(`${user} has no form open.`);
      await platform.fill(view.id, values);
      const answered = answerFor(platform, user);
      const submission = await platform.submit({ user, viewId: view.id });
      return submission.accepted ? { ...submission, answer: await answered() } : submission;
    },
    async advanceTo(atMs) {
      for (
        let next = await service.nextEventAt();
        next !== null && next <= atMs;
        next = await service.nextEventAt()
      ) {
        if (next <= clock.now()) await lookedAt(next);
        else clock.jumpTo(next);
        await this.sweep();
      }
      clock.jumpTo(atMs);
      await this.sweep();
    },
    async nextEvent() {
      const next = await service.nextEventAt();
      if (next === null) throw new Error('Nothing will come due by itself.');
      await this.advanceTo(next);
      return next;
    },
    async sweep() {
      await this.look();
      await this.quiet();
    },
    async wake() {
      await service.cases.wakeWard(wardId);
      await this.quiet();
    },
    async look() {
      await service.cases.sweepWards({ deep: false });
      await service.idle();
    },
    slowly: () => realTime.skipTo(Date.now() + 1_100),
    emptied: (wardId) => service.emptied(wardId),
    silently: (ms) => realTime.skipTo(Date.now() + ms),
    checks: () => service.checks,
    quiet: () =>
      outbox.quiet(
        () => service.cases.sweepWards({ deep: false }),
        () => service.idle(),
      ),
    async restart(how = 'stopped') {
      if (how === 'killed') outbox.forget();
      await service.stop();
      service = await start();
      await connected();
    },
    async line(name) {
      const { lines } = await service.record.readWard(wardId);
      const found = lines.find(({ patient }) => patient.name === name);
      if (!found)
        throw new Error(
          `The ward has no line of ${name}; it has ${lines.map(({ patient }) => patient.name).join(', ')}.`,
        );
      return found;
    },
    async stop() {
      await service.stop();
      await platform.stop();
      realTime.stop();
      commands.disconnect();
    },
  };

  /** A wake-up that is past and does not go away would turn the clock's loop into an endless one. */
  async function lookedAt(next: number): Promise<void> {
    await bot.sweep();
    if ((await service.nextEventAt()) === next)
      throw new Error(`The wake-up of ${new Date(next).toISOString()} does not go away.`);
  }
  return bot;
}

/** Does the errands of the alarm inside this process: delivers at once, and remembers when to look again. */
function errandBoy() {
  let cases: JobCases | null = null;
  const againAt = new Map<string, number>();
  const running = new Map<string, Promise<void>>();
  const asked = new Set<string>();
  let sweptAt = 0;

  const deliver = (ward: string): void => {
    asked.add(ward);
    if (running.has(ward) || !cases) return;
    const serving = cases;
    const work = (async () => {
      while (asked.delete(ward))
        await serving.deliverPosts(ward).catch(() => againAt.set(ward, Date.now() + 500));
    })();
    running.set(ward, work);
    void work.finally(() => {
      running.delete(ward);
      if (asked.has(ward)) deliver(ward);
    });
  };
  const alarm: Alarm = {
    async wakeAt() {},
    async postsWaiting(ward, realAtMs) {
      if (realAtMs === undefined || realAtMs <= Date.now()) deliver(ward);
      else againAt.set(ward, Math.min(realAtMs, againAt.get(ward) ?? Number.POSITIVE_INFINITY));
    },
  };
  return {
    alarm,
    serve(next: JobCases) {
      cases = next;
    },
    leave(leaving: JobCases) {
      if (cases === leaving) cases = null;
    },
    /** A killed process forgets what it was about to do. */
    forget() {
      cases = null;
      running.clear();
      asked.clear();
      againAt.clear();
    },
    async quiet(sweep: () => Promise<void>, beside: () => Promise<void>): Promise<void> {
      sweptAt = Date.now();
      for (;;) {
        while (running.size > 0) await Promise.all(running.values());
        // An upload is not a wait: time is not moved on under it.
        await beside();
        if (running.size > 0) continue;
        const [first] = [...againAt].sort(([, a], [, b]) => a - b);
        if (!first) return;
        const [ward, at] = first;
        againAt.delete(ward);
        realTime.skipTo(at);
        // As a real one would have by then; its heartbeat would fall silent otherwise.
        if (Date.now() - sweptAt > 25_000) {
          sweptAt = Date.now();
          await sweep();
          // What it sends isn't sent beside it: what the one holds the other would come back for, and so on for ever.
          await beside();
        }
        deliver(ward);
      }
    },
  };
}

/** What counts as an answer to `user`, from now on: the first private or direct message, or a form that was not there. */
function answerFor(platform: Platform, user: string, orIn?: string): () => Promise<Answer> {
  const lastPrivate = platform.ephemerals(user).at(-1)?.ts;
  // An answer may also take the place of the one that was pressed in.
  const privately = new Map(platform.ephemerals(user).map((one) => [one.ts, JSON.stringify(one)]));
  const directly = new Set(platform.messages(user).map(({ ts }) => ts));
  const publicly = new Set(orIn ? platform.messages(orIn).map(({ ts }) => ts) : []);
  const viewBefore = platform.view(user)?.id;
  return () =>
    platform.until(`an answer to ${user} (after ${lastPrivate ?? 'nothing'})`, (): Answer | undefined => {
      const view = platform.view(user);
      if (view && view.id !== viewBefore) return { text: JSON.stringify(view.spec), view };
      const message =
        platform.ephemerals(user).findLast((one) => privately.get(one.ts) !== JSON.stringify(one)) ??
        platform
          .messages(user)
          .find(
            ({ ts, metadata }) =>
              !directly.has(ts) && String(metadata?.event_payload.key).startsWith('answer.'),
          ) ??
        (orIn ? platform.messages(orIn).find(({ ts }) => !publicly.has(ts)) : undefined);
      return message && { text: message.text, message };
    });
}

/** Does `work` over and over until `until` has come. */
async function meanwhile<T>(work: () => Promise<void>, until: Promise<T>): Promise<T> {
  let come = false;
  const settled = until.finally(() => {
    come = true;
  });
  while (!come) {
    await work();
    await Promise.race([settled, pause(10)]);
  }
  return settled;
}

/** The buttons of blocks, wherever they stand. */
export function buttonsIn(blocks: readonly Json[]): Json[] {
  return blocks.flatMap((block) => [
    ...(block.type === 'actions' ? (block.elements as Json[]) : []),
    ...(block.accessory ? [block.accessory as Json] : []),
  ]);
}

/** What an operator would read, by the event's name. */
export function troubleLog(troubles: string[]): Log {
  const note = (fields: LogFields, event: string) => {
    const { err } = fields as { err?: unknown };
    troubles.push(err instanceof Error ? `${event}: ${err.message}` : event);
  };
  return { debug() {}, info() {}, warn: note, error: note };
}

/** Real time that a test lets pass, for what cannot be waited for otherwise. */
export { pause };
