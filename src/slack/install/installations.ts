import { randomBytes } from 'node:crypto';
import type { InstallationShelf } from '../../app/installations.ts';
import { type Installation, NotInstalled } from './installation.ts';
import { type OpenShelf, openShelf } from './open-shelf.ts';
import { type AskNext, isDue, isGood, NotWritten, renewed, type Standing } from './renew-token.ts';
import { sealedBy, type TokenKey } from './seal.ts';

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
  const open = openShelf(shelf, keys, realNow);
  const standingOf = async (team: string): Promise<Standing | null> => {
    const own = await open.read(team);
    if (own) return own;
    const org = await open.orgOf(team);
    return org === null ? null : open.read(org);
  };
  const renew = oneAtATime((id: string, stood: Standing) =>
    renewed({ shelf, read: open.readAfresh, seal: open.seal, askNext, realNow, trouble }, id, stood)
      .catch((cause: unknown) => {
        if (!(cause instanceof NotWritten)) throw cause;
        open.holdUnwritten(id, cause.after);
        return cause.after;
      })
      .then((standing) => open.remember(id, standing)),
  );

  return {
    of: async (team) => (await standingOf(team))?.installation ?? null,
    async token(team) {
      const standing = await standingOf(team);
      if (!standing) throw new NotInstalled(team);
      return goodToken(team, standing, realNow(), () => renew(standing.installation.id, standing));
    },
    async keep(installation) {
      const since = `${realNow()}-${randomBytes(4).toString('hex')}`;
      open.dropUnwritten(installation.id);
      const expiresAt = installation.renewal?.expiresAt ?? null;
      await shelf.put(installation.id, { sealed: open.seal(installation), since, expiresAt });
      open.remember(installation.id, { installation, since });
    },
    async erase({ since }, id) {
      await shelf.erase(id, since);
      open.forget(id);
    },
    readAfresh: open.readAfresh,
    async noteOrg(team, org) {
      if ((await open.orgOf(team)) === org) return;
      await shelf.noteOrg(team, org);
      open.rememberOrg(team, org);
    },
    ids: () => shelf.ids(),
    sealAllAnew: () => sealAllAnew(shelf, open, keys[0]?.id),
  };
}

/** The token that stands, renewed first where it is about to run out. */
async function goodToken(
  team: string,
  { installation }: Standing,
  nowMs: number,
  renew: () => Promise<Standing | null>,
): Promise<string> {
  if (!isDue(installation, nowMs)) return installation.token;
  const work = renew();
  if (isGood(installation, nowMs, waitsBelowMs)) {
    work.catch(() => undefined);
    return installation.token;
  }
  const after = await work;
  if (!after) throw new NotInstalled(team);
  return after.installation.token;
}

/** One renewing at a time in this process; the lock is for the others. */
function oneAtATime(
  work: (id: string, stood: Standing) => Promise<Standing | null>,
): (id: string, stood: Standing) => Promise<Standing | null> {
  const running = new Map<string, Promise<Standing | null>>();
  return (id, stood) => {
    const known = running.get(id);
    if (known) return known;
    const begun = work(id, stood).finally(() => running.delete(id));
    running.set(id, begun);
    return begun;
  };
}

async function sealAllAnew(
  shelf: InstallationShelf,
  open: OpenShelf,
  firstKey: string | undefined,
): Promise<number> {
  const ids = await shelf.ids();
  const all = await Promise.all(ids.map(async (id) => ({ id, kept: await shelf.read(id) })));
  for (const { id, kept } of all) if (kept) open.open(id, kept);
  let count = 0;
  for (const { id, kept } of all) {
    if (!kept || sealedBy(kept.sealed) === firstKey) continue;
    const { installation } = open.open(id, kept);
    // Changed meanwhile: whoever did sealed it with their own first key; the next start looks again.
    if (await shelf.sealAnew(id, kept.sealed, open.seal(installation))) count += 1;
  }
  return count;
}
