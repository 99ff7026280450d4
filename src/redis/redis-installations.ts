import type { InstallationShelf } from '../app/installations.ts';
import type { Copies } from './copies.ts';
import { installationKeys, installationsKey, orgsKey } from './keys.ts';
import { reach } from './reach.ts';
import { type RecordClient, readScript } from './script.ts';

const renewScript = readScript('renew-installation');
const sealAnewScript = readScript('seal-installation-anew');
const eraseScript = readScript('erase-installation');
const unlockScript = readScript('unlock-installation');

/** Installations beside the record. What a token was renewed to lies on replicas, where there are any, before it is used. */
export function redisInstallations(client: RecordClient, copies?: Copies): InstallationShelf {
  const changed = async (id: string, answer: unknown) => {
    await copies?.made(`install:${id}`);
    return answer === 1;
  };
  const run = (script: typeof renewScript, key: string, args: readonly string[]) =>
    reach('writes', () => script(client, [key], args));
  return {
    ids: () => reach('reads', () => client.smembers(installationsKey)),
    async read(id) {
      const [sealed, since, expiresAt] = await reach('reads', () =>
        client.hmget(installationKeys(id).kept, 'sealed', 'since', 'expiresAt'),
      );
      if (!sealed || !since) return null;
      return { sealed, since, expiresAt: expiresAt ? Number(expiresAt) : null };
    },
    async put(id, { sealed, since, expiresAt }) {
      await reach('writes', async () => {
        await client.sadd(installationsKey, id);
        await client.hset(installationKeys(id).kept, { sealed, since, expiresAt: expiresAt ?? '' });
      });
      await changed(id, 1);
    },
    async renew(id, { sealed, since, expiresAt }) {
      const args = [since, String(expiresAt ?? ''), sealed];
      return changed(id, await run(renewScript, installationKeys(id).kept, args));
    },
    async sealAnew(id, before, after) {
      return changed(id, await run(sealAnewScript, installationKeys(id).kept, [before, after]));
    },
    async erase(id, since) {
      const erased = await run(eraseScript, installationKeys(id).kept, [since]);
      if (!(await changed(id, erased))) return;
      await reach('writes', async () => {
        await client.srem(installationsKey, id);
        const orgs = await client.hgetall(orgsKey);
        const served = Object.keys(orgs).filter((team) => orgs[team] === id);
        if (served.length > 0) await client.hdel(orgsKey, ...served);
      });
    },
    orgOf: (team) => reach('reads', () => client.hget(orgsKey, team)),
    async noteOrg(team, org) {
      await reach('writes', () => client.hset(orgsKey, team, org));
    },
    lock: (id, own, forMs) =>
      reach(
        'writes',
        async () => (await client.set(installationKeys(id).lock, own, 'PX', forMs, 'NX')) === 'OK',
      ),
    async unlock(id, own) {
      await run(unlockScript, installationKeys(id).lock, [own]);
    },
  };
}
