import { SocketModeReceiver } from '@slack/bolt';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { machineClock } from '../../../src/app/clock.ts';
import type { Platform } from '../../../src/practice/platform/platform.ts';
import { startPlatform } from '../../../src/practice/platform/start-platform.ts';
import { practiceWorld } from '../../../src/practice/practice-world.ts';
import { AppTokenRefused, type SocketLife, socketLife } from '../../../src/slack/edge/socket-life.ts';
import { webClientOptions } from '../../../src/slack/web-client-options.ts';

const quiet = {
  debug() {},
  info() {},
  warn() {},
  error() {},
  setLevel() {},
  getLevel: () => 'error' as never,
  setName() {},
};

let platform: Platform;
let life: SocketLife;
let troubles: string[];
beforeEach(async () => {
  const world = practiceWorld();
  platform = await startPlatform({ port: 0, clock: machineClock, world, deliverTo: 'socket' });
  const { client } = new SocketModeReceiver({
    appToken: world.app.appToken,
    autoReconnectEnabled: false,
    installerOptions: { clientOptions: webClientOptions(platform.apiUrl) },
    logger: quiet,
  });
  troubles = [];
  life = socketLife(client, (what) => troubles.push(what));
});
afterEach(async () => {
  await life.stop();
  await platform.stop();
});

const opened = () =>
  platform.until('the socket', () => platform.connections() > 0 && life.lostSince() === null, 15_000);
const opens = () => platform.calls.filter(({ method }) => method === 'apps.connections.open').length;

describe('the socket for commands', () => {
  it.each(['refresh_requested', 'warning', 'link_disabled'] as const)(
    'is opened again at once when the platform asks for it (%s)',
    async (reason) => {
      await life.start({ whateverItSays: false });
      const before = opens();
      platform.disconnect(reason);
      await platform.until('a second opening', () => opens() > before, 2_000);
      await opened();
      expect(troubles).toEqual([]);
    },
  );

  it.each(['invalid_auth', 'internal_error'])(
    'is opened again after the platform refused that with %s, and says since when it is lost',
    async (error) => {
      await life.start({ whateverItSays: false });
      platform.fault({ method: 'apps.connections.open', kind: 'platformError', error });
      platform.disconnect('refresh_requested');
      await platform.until('the loss', () => life.lostSince() !== null);
      await opened();
      expect(troubles).toHaveLength(1);
    },
    20_000,
  );

  it('is opened again after a platform that was away altogether', async () => {
    await life.start({ whateverItSays: false });
    platform.goDown();
    await platform.until('the loss', () => life.lostSince() !== null);
    platform.comeBack();
    await opened();
    expect(life.lostSince()).toBeNull();
  }, 20_000);

  it('ends a first start with what to set where the platform refuses the token, and else goes on trying', async () => {
    const refuse = () =>
      platform.fault({ method: 'apps.connections.open', kind: 'platformError', error: 'invalid_auth' });
    refuse();
    await expect(life.start({ whateverItSays: false })).rejects.toThrow(AppTokenRefused);
    refuse();
    await life.start({ whateverItSays: true });
    await opened();
  }, 20_000);

  it('stays closed once it is stopped', async () => {
    await life.start({ whateverItSays: false });
    await life.stop();
    const before = opens();
    await new Promise((resolve) => setTimeout(resolve, 200));
    expect(opens()).toBe(before);
    expect(platform.connections()).toBe(0);
  });
});
