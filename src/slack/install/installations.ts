import { randomBytes } from 'node:crypto';
import type { InstallationShelf, KeptInstallation } from '../../app/installations.ts';
import { RecordUnavailable } from '../../app/record-unavailable.ts';
import { type Installation, installationSchema, NotInstalled } from './installation.ts';
import { type AskNext, isDue, isGood, NotWritten, renewed, type Standing } from './renew-token.ts';
import { opened, seal, sealedBy, type TokenKey } from './seal.ts';

/** Every installation of the app, by workspace. */
export interface Installations {
  /** What serves a workspace: its own installation, else its organisation's; null where neither is there. */
  of(team: string): Promise<Installation | null>;
  /** A token of the workspace that is good now. Throws `NotInstalled`. */
  token(team: string): Promise<string>;
  keep(installation: Installation): Promise<void>;
  /** Erases the installation of a workspace or organisation, if it is still the one given. */
  erase(standing: Standing, id: string): Promise<void>;
  /** What is kept for this very id now, not from memory. */
  readAfresh(id: string): Promise<Standing | null>;
  /** An organisation's installation serves this workspace. */
  noteOrg(team: string, org: string): Promise<void>;
  /** Workspaces and organisations it is installed in. */
  ids(): Promise<string[]>;
  /**
   * Seals with the first key what is sealed with another; says how many were. Throws where one can't be opened with the keys that
   * were given, before anything is changed.
   */
  sealAllAnew(): Promise<number>;
}

/** How long what was read is believed, real ms: another process may have installed, renewed or erased. */
const freshMs = 5_000;
/** With less left than this somebody waits for the new token, ms. */
const waitsBelowMs = 5 * 60_000;

export function installations({
  shelf,
  keys,
  askNext,
  realNow,
  trouble,
}: {
  shelf: InstallationShelf;
  keys: readonly TokenKey[];
  askNext: AskNext;
  realNow: () => number;
  trouble: (what: string, ids: Record<string, string | number>, cause?: unknown) => void;
}): Installations {
  const known = new Map<string, { standing: Standing | null; at: number }>();
  const orgs = new Map<string, { org: string | null; at: number }>();
  const renewing = new Map<string, Promise<Standing | null>>();
  /** Renewed tokens that Redis would not take: they exist in this process alone. */
  const unwritten = new Map<string, Standing>();

  const remember = (id: string, standing: Standing | null) => {
    known.set(id, { standing, at: realNow() });
    return standing;
  };
  const sealed = (installation: Installation) => seal(keys, installation.id, JSON.stringify(installation));
  const openedOf = (id: string, kept: KeptInstallation): Standing => ({
    installation: installationSchema.parse(JSON.parse(opened(keys, id, kept.sealed))),
    since: kept.since,
  });
  const readAfresh = async (id: string): Promise<Standing | null> => {
    const own = unwritten.get(id);
    if (own && (await saved(id, own))) unwritten.delete(id);
    const kept = await shelf.read(id);
    const standing = kept && openedOf(id, kept);
    const left = unwritten.get(id);
    return remember(id, left && standing?.since === left.since ? left : standing);
  };
  const saved = (id: string, { installation, since }: Standing) =>
    shelf
      .renew(id, { sealed: sealed(installation), since, expiresAt: installation.renewal?.expiresAt ?? null })
      .then(
        () => true,
        () => false,
      );
  /** From memory while it is fresh, and while Redis is away. */
  const read = async (id: string): Promise<Standing | null> => {
    const kept = known.get(id);
    if (kept && realNow() - kept.at < freshMs) return kept.standing;
    try {
      return await readAfresh(id);
    } catch (cause) {
      if (kept && cause instanceof RecordUnavailable) return kept.standing;
      throw cause;
    }
  };
  const orgOf = async (team: string): Promise<string | null> => {
    const kept = orgs.get(team);
    if (kept && realNow() - kept.at < freshMs) return kept.org;
    try {
      const org = await shelf.orgOf(team);
      orgs.set(team, { org, at: realNow() });
      return org;
    } catch (cause) {
      if (kept && cause instanceof RecordUnavailable) return kept.org;
      throw cause;
    }
  };
  const standingOf = async (team: string): Promise<Standing | null> => {
    const own = await read(team);
    if (own) return own;
    const org = await orgOf(team);
    return org === null ? null : read(org);
  };
  /** One renewing at a time in this process; the lock is for the others. */
  const renew = (id: string, stood: Standing): Promise<Standing | null> => {
    const running = renewing.get(id);
    if (running) return running;
    const work = renewed({ shelf, read: readAfresh, seal: sealed, askNext, realNow, trouble }, id, stood)
      .catch((cause: unknown) => {
        if (!(cause instanceof NotWritten)) throw cause;
        unwritten.set(id, cause.after);
        return cause.after;
      })
      .then((standing) => remember(id, standing))
      .finally(() => renewing.delete(id));
    renewing.set(id, work);
    return work;
  };

  return {
    of: async (team) => (await standingOf(team))?.installation ?? null,
    async token(team) {
      const standing = await standingOf(team);
      if (!standing) throw new NotInstalled(team);
      const { installation } = standing;
      if (!isDue(installation, realNow())) return installation.token;
      const work = renew(installation.id, standing);
      if (isGood(installation, realNow(), waitsBelowMs)) {
        work.catch(() => undefined);
        return installation.token;
      }
      const after = await work;
      if (!after) throw new NotInstalled(team);
      return after.installation.token;
    },
    async keep(installation) {
      const since = `${realNow()}-${randomBytes(4).toString('hex')}`;
      unwritten.delete(installation.id);
      const expiresAt = installation.renewal?.expiresAt ?? null;
      await shelf.put(installation.id, { sealed: sealed(installation), since, expiresAt });
      remember(installation.id, { installation, since });
    },
    async erase({ since }, id) {
      await shelf.erase(id, since);
      unwritten.delete(id);
      known.delete(id);
      orgs.clear();
    },
    readAfresh,
    async noteOrg(team, org) {
      if ((await orgOf(team)) === org) return;
      await shelf.noteOrg(team, org);
      orgs.set(team, { org, at: realNow() });
    },
    ids: () => shelf.ids(),
    async sealAllAnew() {
      const ids = await shelf.ids();
      const all = await Promise.all(ids.map(async (id) => ({ id, kept: await shelf.read(id) })));
      for (const { id, kept } of all) if (kept) openedOf(id, kept);
      let count = 0;
      for (const { id, kept } of all) {
        if (!kept || sealedBy(kept.sealed) === keys[0]?.id) continue;
        const { installation } = openedOf(id, kept);
        // Changed meanwhile: whoever did sealed it with their own first key; the next start looks again.
        if (await shelf.sealAnew(id, kept.sealed, sealed(installation))) count += 1;
      }
      return count;
    },
  };
}
