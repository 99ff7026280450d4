import { WebAPIPlatformError } from '@slack/web-api';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { InstallationShelf } from '../../src/app/installations.ts';
import { RecordUnavailable } from '../../src/app/record-unavailable.ts';
import { redisInstallations } from '../../src/redis/redis-installations.ts';
import type { Installation } from '../../src/slack/install/installation.ts';
import { installations } from '../../src/slack/install/installations.ts';
import type { AskNext } from '../../src/slack/install/renew-token.ts';
import { SealNotOpened, type TokenKey } from '../../src/slack/install/seal.ts';
import { startTestRedis, type TestRedis } from '../support/redis-for-tests.ts';

let redis: TestRedis;
let client: ReturnType<TestRedis['client']>;
beforeAll(async () => {
  redis = await startTestRedis();
  client = redis.client();
});
beforeEach(async () => void (await client.flushall()));
afterAll(async () => {
  client.disconnect();
  await redis.stop();
});

const hour = 3_600_000;
const key = (id: string, fill: number): TokenKey => ({ id, key: Buffer.alloc(32, fill) });
const [old, fresh] = [key('2025', 1), key('2026', 2)];
const installation = (id: string, more: Partial<Installation> = {}): Installation => ({
  id,
  name: 'Harrowmere',
  token: `xoxb-of-${id}`,
  userId: 'U0BOT',
  botId: 'B0BOT',
  scopes: ['chat:write'],
  installedBy: 'U0ADMIN',
  renewal: null,
  ...more,
});

/** A platform that takes each refresh token once, as the real one does. */
function platform(now: () => number) {
  const used: string[] = [];
  let number = 0;
  const hold: { until: Promise<void> } = { until: Promise.resolve() };
  const askNext: AskNext = async (refreshToken) => {
    const isSpent = used.includes(refreshToken);
    used.push(refreshToken);
    await hold.until;
    if (isSpent) throw new WebAPIPlatformError({ ok: false, error: 'invalid_refresh_token' } as never);
    number += 1;
    return { token: `xoxe-${number}`, refreshToken: `refresh-${number}`, expiresAt: now() + 12 * hour };
  };
  return { used, askNext, hold };
}

function setting() {
  const real = { now: Date.parse('2026-11-24T19:00:00Z') };
  const slack = platform(() => real.now);
  const troubles: string[] = [];
  /** As one process has it: its own memory, the same Redis. */
  const process = (
    keys: readonly TokenKey[] = [fresh],
    shelf: InstallationShelf = redisInstallations(client),
  ) =>
    installations({
      shelf,
      keys,
      askNext: slack.askNext,
      realNow: () => real.now,
      trouble: (what) => troubles.push(what),
    });
  return { real, slack, troubles, process };
}
const runsOut = (expiresAt: number) => ({ renewal: { refreshToken: 'refresh-0', expiresAt } });

describe('installations on Redis', () => {
  it('keep each workspace’s token for itself, and no token can be read there', async () => {
    const { process } = setting();
    const one = process();
    await one.keep(installation('T0ONE'));
    await one.keep(installation('T0TWO'));
    const other = process();
    expect(await other.token('T0ONE')).toBe('xoxb-of-T0ONE');
    expect(await other.token('T0TWO')).toBe('xoxb-of-T0TWO');
    await expect(other.token('T0NONE')).rejects.toThrow('not installed in T0NONE');
    const dump = await Promise.all(
      (await client.keys('*')).map(async (name) => [name, await client.type(name)]),
    );
    expect(dump.length).toBeGreaterThan(0);
    for (const [name = '', type] of dump) {
      const text = JSON.stringify(type === 'hash' ? await client.hgetall(name) : await client.smembers(name));
      expect(text).not.toContain('xoxb');
      expect(text).not.toContain(Buffer.from('xoxb-of').toString('base64url').slice(0, 8));
    }
  });

  it('can’t be swapped: one workspace’s sealed text in another’s place opens for nobody', async () => {
    const { process } = setting();
    await process().keep(installation('T0ONE'));
    await process().keep(installation('T0TWO'));
    const stolen = await client.hget('{install:T0ONE}:kept', 'sealed');
    await client.hset('{install:T0TWO}:kept', 'sealed', stolen ?? '');
    await expect(process().token('T0TWO')).rejects.toThrow(SealNotOpened);
    expect(await process().token('T0ONE')).toBe('xoxb-of-T0ONE');
  });

  it('are erased one at a time; one that was installed anew meanwhile stays', async () => {
    const { process, real } = setting();
    const here = process();
    await here.keep(installation('T0ONE'));
    await here.keep(installation('T0TWO'));
    const before = await here.readAfresh('T0ONE');
    await here.erase(before!, 'T0ONE');
    expect(await here.of('T0ONE')).toBeNull();
    expect(await client.exists('{install:T0ONE}:kept')).toBe(0);
    expect(await here.ids()).toEqual(['T0TWO']);
    expect(await process().token('T0TWO')).toBe('xoxb-of-T0TWO');
    // Another process remembers for 5 s at most.
    const late = await here.readAfresh('T0TWO');
    real.now += 1_000;
    await process().keep(installation('T0TWO', { token: 'xoxb-anew' }));
    await here.erase(late!, 'T0TWO');
    expect(await process().token('T0TWO')).toBe('xoxb-anew');
  });

  it('of an organisation serve each of its workspaces, and are erased with what points at them', async () => {
    const { process } = setting();
    const here = process();
    await here.keep(installation('E0ORG'));
    await here.noteOrg('T0WARDS', 'E0ORG');
    expect(await process().token('T0WARDS')).toBe('xoxb-of-E0ORG');
    await expect(process().token('T0OTHER')).rejects.toThrow('not installed');
    await here.erase((await here.readAfresh('E0ORG'))!, 'E0ORG');
    await expect(process().token('T0WARDS')).rejects.toThrow('not installed');
    expect(await client.exists('{install}:orgs')).toBe(0);
  });
});

describe('a token that runs out', () => {
  it('is renewed once, however many processes and calls need it at once', async () => {
    const { real, slack, process } = setting();
    await process().keep(installation('T0ONE', runsOut(real.now - 1)));
    let go = () => {};
    slack.hold.until = new Promise((resolve) => {
      go = resolve;
    });
    const processes = [process(), process(), process()];
    const calls = processes.flatMap((one) => [one.token('T0ONE'), one.token('T0ONE')]);
    setTimeout(go, 300);
    expect(new Set(await Promise.all(calls))).toEqual(new Set(['xoxe-1']));
    expect(slack.used).toEqual(['refresh-0']);
    expect(await client.exists('{install:T0ONE}:lock')).toBe(0);
  });

  it('is used on while it is good: nobody waits for the next one', async () => {
    const { real, slack, process } = setting();
    const here = process();
    await here.keep(installation('T0ONE', runsOut(real.now + hour)));
    expect(await here.token('T0ONE')).toBe('xoxb-of-T0ONE');
    await expect.poll(() => here.token('T0ONE')).toBe('xoxe-1');
    expect(slack.used).toEqual(['refresh-0']);
    // Left alone before.
    await here.keep(installation('T0TWO', runsOut(real.now + 3 * hour)));
    expect(await here.token('T0TWO')).toBe('xoxb-of-T0TWO');
    expect(slack.used).toHaveLength(1);
  });

  it('renewed by a process whose lock ran out meanwhile never takes the place of a newer one', async () => {
    const { real, slack, process } = setting();
    const shelf = redisInstallations(client);
    await process().keep(installation('T0ONE', runsOut(real.now - 1)));
    const { since } = (await shelf.read('T0ONE'))!;
    expect(await process().token('T0ONE')).toBe('xoxe-1');
    const newer = (await shelf.read('T0ONE'))!;
    // The slow one writes an older token, and one of an installing before.
    expect(await shelf.renew('T0ONE', { sealed: 'older', since, expiresAt: real.now + hour })).toBe(false);
    expect(
      await shelf.renew('T0ONE', { sealed: 'of before', since: 'before', expiresAt: real.now + 99 * hour }),
    ).toBe(false);
    expect(await shelf.read('T0ONE')).toEqual(newer);
    expect(slack.used).toEqual(['refresh-0']);
    // Erased meanwhile, it does not come back.
    await shelf.erase('T0ONE', since);
    expect(await shelf.renew('T0ONE', { sealed: 'late', since, expiresAt: real.now + 99 * hour })).toBe(
      false,
    );
    expect(await shelf.read('T0ONE')).toBeNull();
  });

  it('whose refresh token was used by another is taken from that other; else the operator hears and it is used up to its end', async () => {
    const { real, slack, troubles, process } = setting();
    const here = process();
    await here.keep(installation('T0ONE', runsOut(real.now + 60_000)));
    slack.used.push('refresh-0');
    expect(await here.token('T0ONE')).toBe('xoxb-of-T0ONE');
    expect(troubles).toEqual([expect.stringMatching(/have the app installed there anew/)]);
    real.now += 61_000;
    await expect(here.token('T0ONE')).rejects.toThrow('invalid_refresh_token');
  });

  it('is not lost where Redis does not take it: this process goes on with it and writes it down later', async () => {
    const { real, slack, troubles, process } = setting();
    const shelf = redisInstallations(client);
    let away = true;
    const here = process([fresh], {
      ...shelf,
      renew: async (...given) => {
        if (away) throw new RecordUnavailable(new Error('away'));
        return shelf.renew(...given);
      },
    });
    await here.keep(installation('T0ONE', runsOut(real.now - 1)));
    expect(await here.token('T0ONE')).toBe('xoxe-1');
    expect(troubles).toEqual([expect.stringMatching(/could not be written down/)]);
    real.now += 6_000;
    expect(await here.token('T0ONE')).toBe('xoxe-1');
    away = false;
    real.now += 6_000;
    expect(await here.token('T0ONE')).toBe('xoxe-1');
    expect(await process().token('T0ONE')).toBe('xoxe-1');
    expect(slack.used).toEqual(['refresh-0']);
  }, 20_000);

  it('is had from memory while Redis is away', async () => {
    const { real, process } = setting();
    const shelf = redisInstallations(client);
    let away = false;
    const here = process([fresh], {
      ...shelf,
      read: async (id) => {
        if (away) throw new RecordUnavailable(new Error('away'));
        return shelf.read(id);
      },
    });
    await here.keep(installation('T0ONE'));
    away = true;
    real.now += 60_000;
    expect(await here.token('T0ONE')).toBe('xoxb-of-T0ONE');
    await expect(here.token('T0TWO')).rejects.toThrow(RecordUnavailable);
  });
});

describe('another key', () => {
  it('seals all anew at a start, after which the old one is not needed', async () => {
    const { process } = setting();
    await process([old]).keep(installation('T0ONE'));
    await process([old]).keep(installation('E0ORG'));
    expect(await process([old]).sealAllAnew()).toBe(0);
    const changed = process([fresh, old]);
    expect(await changed.token('T0ONE')).toBe('xoxb-of-T0ONE');
    expect(await changed.sealAllAnew()).toBe(2);
    expect(await process([fresh]).token('T0ONE')).toBe('xoxb-of-T0ONE');
    expect(await process([fresh]).token('E0ORG')).toBe('xoxb-of-E0ORG');
    await expect(process([old]).token('T0ONE')).rejects.toThrow(SealNotOpened);
  });

  it('without the one that sealed is refused before anything is changed', async () => {
    const { process } = setting();
    await process([old]).keep(installation('T0ONE'));
    await process([fresh]).keep(installation('T0TWO'));
    const before = await client.hget('{install:T0TWO}:kept', 'sealed');
    await expect(process([key('2027', 3), fresh]).sealAllAnew()).rejects.toMatchObject({ keyId: '2025' });
    expect(await client.hget('{install:T0TWO}:kept', 'sealed')).toBe(before);
  });
});
