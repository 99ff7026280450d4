import { hurriedClock } from '../../src/app/clock.ts';
import { createMetrics } from '../../src/observe/metrics.ts';
import {
  type SeveralWorkspaces,
  startSeveralWorkspaces,
} from '../../src/practice/platform/several-workspaces.ts';
import type { PracticeWorld } from '../../src/practice/platform/world.ts';
import { practiceWorld } from '../../src/practice/practice-world.ts';
import { openCommands, untilReady } from '../../src/redis/connections.ts';
import { type Service, startService } from '../../src/service/service.ts';
import type { TokenKey } from '../../src/slack/install/seal.ts';
import { troubleLog } from './bot-on-platform.ts';
import { freePort } from './free-ports.ts';
import type { SharedRedis } from './shared-redis.ts';

const signingSecret = 'a-signing-secret-of-the-tests';
const oauth = { clientId: '1111.2222', clientSecret: 'a-client-secret' };
export const tokenKey = (id: string, fill: number): TokenKey => ({ id, key: Buffer.alloc(32, fill) });

/** Hospitals that know their channel and people by the same ids: only the workspace tells them apart. */
export function hospitalIn(team: string, enterprise?: PracticeWorld['enterprise']): PracticeWorld {
  const world = practiceWorld();
  return {
    ...world,
    team: { id: team, domain: team.toLowerCase(), name: `Hospital ${team}` },
    app: { ...world.app, botToken: `xoxb-inside-${team}` },
    ...(enterprise ? { enterprise } : {}),
  };
}

/** The bot for many workspaces, over HTTP, on a real Redis. */
export interface BotInMany {
  slack: SeveralWorkspaces;
  service: Service;
  troubles: string[];
  /** The address of the bot. */
  origin: string;
  clock: ReturnType<typeof hurriedClock>;
  /** Installs the app in a workspace or organisation, as an administrator's browser does. Gives the page it ends on. */
  install(
    place: string,
    how?: { state?: string; cookie?: string },
  ): Promise<{ status: number; text: string }>;
  /** Looks at every ward, as a sweep does, and sends what waits. */
  sweep(): Promise<void>;
  restart(keys?: readonly TokenKey[]): Promise<void>;
  stop(): Promise<void>;
}

export async function botInMany(
  redis: SharedRedis,
  worlds: readonly PracticeWorld[],
  firstKeys: readonly TokenKey[] = [tokenKey('2026', 1)],
): Promise<BotInMany> {
  const commands = openCommands(redis.connection, () => {});
  await untilReady(commands, 5_000);
  await commands.flushall();
  const clock = hurriedClock(Date.parse('2026-11-24T19:20:00Z'), 1, () => 0);
  const port = await freePort();
  const origin = `http://127.0.0.1:${port}`;
  const slack = await startSeveralWorkspaces({
    worlds,
    clock,
    hurried: clock,
    deliverTo: { url: `${origin}/slack/events`, signingSecret },
    oauth: { ...oauth, redirectUrl: `${origin}/slack/oauth_redirect` },
  });
  const troubles: string[] = [];
  const waiting = new Set<string>();
  const start = (tokenKeys: readonly TokenKey[]) =>
    startService({
      roles: new Set(['chat', 'jobs']),
      clock,
      redis: commands,
      redisTarget: redis.connection,
      alarm: { wakeAt: async () => {}, postsWaiting: async (ward) => void waiting.add(ward) },
      slack: {
        apiUrl: slack.apiUrl,
        serves: { ...oauth, stateSecret: 'a-state-secret-of-the-tests', tokenKeys },
        reach: { by: 'http', signingSecret, port },
      },
      command: '/artline',
      wardZone: 'UTC',
      laneGapMs: 0,
      log: troubleLog(troubles),
      metrics: createMetrics({ withProcessMetrics: false }),
      handoverFiles: null,
      startWorkers: async () => ({ close: async () => {} }),
    });
  const bot: BotInMany = {
    slack,
    service: await start(firstKeys),
    troubles,
    origin,
    clock,
    async install(place, { state, cookie } = {}) {
      const first = await fetch(`${origin}/slack/install`, { redirect: 'manual' });
      const back = slack.agree(first.headers.get('location') ?? '', place);
      if (state !== undefined) back.searchParams.set('state', state);
      const kept = cookie ?? (first.headers.get('set-cookie') ?? '').split(';')[0] ?? '';
      const page = await fetch(back, { headers: { cookie: kept } });
      return { status: page.status, text: (await page.text()).replaceAll(/<[^>]+>/g, ' ') };
    },
    async sweep() {
      await bot.service.cases.sweepWards({ deep: true });
      for (const wardId of await bot.service.record.wardIds()) await bot.service.cases.deliverPosts(wardId);
      await bot.service.idle();
    },
    async restart(keys = firstKeys) {
      await bot.service.stop();
      bot.service = await start(keys);
    },
    async stop() {
      await bot.service.stop();
      await slack.stop();
      commands.disconnect();
    },
  };
  return bot;
}
