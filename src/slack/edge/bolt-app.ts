import { App, SocketModeReceiver } from '@slack/bolt';
import type { ChannelIds } from '../../app/channel-ids.ts';
import { within } from '../../app/clock.ts';
import { withWardsChannels } from '../changed-channels.ts';
import type { InstallSettings } from '../install/bolt-install.ts';
import type { SlackBot } from '../slack-bot.ts';
import { webClientOptions } from '../web-client-options.ts';
import { takeCommands } from './commands.ts';
import { takeEvents } from './events.ts';
import { takePresses } from './presses.ts';
import { makeReceiver } from './receiver.ts';
import { takeShortcuts } from './shortcuts.ts';
import { socketLife } from './socket-life.ts';
import { takeSubmits } from './submits.ts';
import type { Taken } from './taken.ts';

/** How the bot is reached: a socket it opens itself, or requests to a port. */
export type Reach =
  | {
      by: 'socket';
      appToken: string;
      /** How long the platform may leave a ping unanswered, ms; longer, and the socket is lost. The client's 5 s if left out. */
      pongWithinMs?: number;
    }
  | {
      by: 'http';
      signingSecret: string;
      port: number;
    };

export interface BoltOptions {
  reach: Reach;
  /** One workspace by its token, or many in which the app is installed; many are reached over HTTP. */
  serves: { botToken: string } | { installs: InstallSettings };
  slackApiUrl: string;
  /** Channels whose id changed. */
  channelIds: ChannelIds;
  /** Hears what came in, and does all that it takes up to the answer, or to the acknowledgement. */
  around?: <T>(what: CameIn | 'ack', work: () => Promise<T>) => Promise<T>;
  /** How answers are sent. */
  fetch?: typeof globalThis.fetch;
  /** Seconds from a request's arrival to its ack, for the metrics. */
  acked?: (seconds: number) => void;
  trouble: (what: string, ids: Record<string, string | number>, cause?: unknown) => void;
  logger?: NonNullable<ConstructorParameters<typeof App>[0]>['logger'];
}

export interface BoltEdge {
  /** `whateverItSays`: an app-level token that the platform refuses is tried again instead of being a fault of the start. */
  start(how: { whateverItSays: boolean }): Promise<void>;
  /** Since when nothing can reach the bot, ms; null while it is connected, or where the platform calls it. */
  unreachableSince(): number | null;
  /** Stops taking, waits for what runs (at most `patienceMs`), then disconnects. */
  stop(patienceMs: number): Promise<void>;
}

/** Who answers at the edge. */
export interface EdgeBots {
  /** The bot of a workspace. */
  of: (team: string | undefined) => Promise<SlackBot | null>;
  command: string;
  takenOut?: Taken['takenOut'];
}

/** The chat's edge: every request is acknowledged first, then checked, then answered. */
export function boltEdge(bots: EdgeBots, options: BoltOptions): BoltEdge {
  const { reach, serves, slackApiUrl, trouble, logger, around = (_what, work) => work() } = options;
  const receiver = makeReceiver(options);
  const app = new App({
    ...('botToken' in serves ? { token: serves.botToken } : {}),
    receiver,
    clientOptions: { ...webClientOptions(slackApiUrl), ...(options.fetch ? { fetch: options.fetch } : {}) },
    deferInitialization: true,
    convoStore: false,
    ...(logger ? { logger } : {}),
  });
  const processed = app.processEvent.bind(app);
  app.processEvent = (event) =>
    around(kindOf(event.body), async () =>
      processed({
        ...event,
        body: (await withWardsChannels(event.body, options.channelIds)) as typeof event.body,
      }),
    );
  const socket = receiver instanceof SocketModeReceiver ? socketLife(receiver.client, trouble) : null;
  const work = workGoingOn();
  const taken: Taken = {
    botOf: bots.of,
    command: bots.command,
    ...(bots.takenOut ? { takenOut: bots.takenOut } : {}),
    trouble,
    acked: (seconds) => options.acked?.(seconds),
    async timed(ack) {
      const began = performance.now();
      await around('ack', ack);
      taken.acked((performance.now() - began) / 1000);
    },
    goOn: work.goOn,
  };
  takeCommands(app, taken);
  takePresses(app, taken);
  takeShortcuts(app, taken);
  takeEvents(app, taken);
  takeSubmits(app, taken);
  app.error(async (error) => {
    trouble('the chat framework reported an error', { code: error.code }, error);
  });

  return {
    async start(how) {
      await app.init();
      if (socket) await socket.start(how);
      else if (reach.by === 'http') await app.start(reach.port);
    },
    unreachableSince: () => socket?.lostSince() ?? null,
    async stop(patienceMs) {
      if (reach.by === 'http') await app.stop();
      await work.done(patienceMs);
      await socket?.stop();
    },
  };
}

/** Work that goes on after its acknowledgement, and waiting for it. */
function workGoingOn(): { goOn: Taken['goOn']; done: (patienceMs: number) => Promise<void> } {
  const running = new Set<Promise<void>>();
  return {
    goOn(work) {
      running.add(work);
      void work.finally(() => running.delete(work));
      return work;
    },
    async done(patienceMs) {
      await within(patienceMs, Promise.allSettled(running));
    },
  };
}

/** What came in, as a trace names it. */
type CameIn = 'command' | 'press' | 'form' | 'event';

function kindOf({ command, type }: { command?: unknown; type?: unknown }): CameIn {
  if (command !== undefined) return 'command';
  if (type === 'block_actions') return 'press';
  return type === 'view_submission' || type === 'view_closed' ? 'form' : 'event';
}
