import type { InstallationShelf, KeptInstallation } from '../../app/installations.ts';
import { RecordUnavailable } from '../../app/record-unavailable.ts';
import { type Installation, installationSchema } from './installation.ts';
import type { Standing } from './renew-token.ts';
import { opened, seal, type TokenKey } from './seal.ts';

/** How long what was read is believed, real ms: another process may have installed, renewed or erased. */
const freshMs = 5_000;

/** Installations as they lie on their shelf, opened, and remembered for a while. */
export interface OpenShelf {
  /** Of a workspace or organisation itself; from memory while it is fresh, and while Redis is away. */
  read(id: string): Promise<Standing | null>;
  /** What is kept for this very id now, not from memory. */
  readAfresh: (id: string) => Promise<Standing | null>;
  /** Which organisation's installation serves a workspace. */
  orgOf(team: string): Promise<string | null>;
  rememberOrg(team: string, org: string): void;
  /** What is known to stand from now on. */
  remember(id: string, standing: Standing | null): Standing | null;
  /** A renewed token that Redis would not take: it exists in this process alone, and is tried again. */
  holdUnwritten(id: string, standing: Standing): void;
  dropUnwritten(id: string): void;
  forget(id: string): void;
  seal: (installation: Installation) => string;
  open(id: string, kept: KeptInstallation): Standing;
}

export function openShelf(
  shelf: InstallationShelf,
  keys: readonly TokenKey[],
  realNow: () => number,
): OpenShelf {
  const known = new Map<string, Remembered<Standing | null>>();
  const orgs = new Map<string, Remembered<string | null>>();
  const unwritten = new Map<string, Standing>();
  const remember = (id: string, standing: Standing | null) => {
    known.set(id, { value: standing, at: realNow() });
    return standing;
  };
  const sealed = (installation: Installation) => seal(keys, installation.id, JSON.stringify(installation));
  const open = (id: string, kept: KeptInstallation): Standing => ({
    installation: installationSchema.parse(JSON.parse(opened(keys, id, kept.sealed))),
    since: kept.since,
  });
  const saved = (id: string, { installation, since }: Standing) =>
    shelf
      .renew(id, { sealed: sealed(installation), since, expiresAt: installation.renewal?.expiresAt ?? null })
      .then(
        () => true,
        () => false,
      );
  const readAfresh = async (id: string): Promise<Standing | null> => {
    const own = unwritten.get(id);
    if (own && (await saved(id, own))) unwritten.delete(id);
    const kept = await shelf.read(id);
    const standing = kept && open(id, kept);
    const left = unwritten.get(id);
    return remember(id, left && standing?.since === left.since ? left : standing);
  };
  return {
    readAfresh,
    remember,
    seal: sealed,
    open,
    read: (id) => freshOr(known.get(id), realNow(), () => readAfresh(id)),
    orgOf: (team) =>
      freshOr(orgs.get(team), realNow(), async () => {
        const org = await shelf.orgOf(team);
        orgs.set(team, { value: org, at: realNow() });
        return org;
      }),
    rememberOrg: (team, org) => void orgs.set(team, { value: org, at: realNow() }),
    holdUnwritten: (id, standing) => void unwritten.set(id, standing),
    dropUnwritten: (id) => void unwritten.delete(id),
    forget(id) {
      unwritten.delete(id);
      known.delete(id);
      orgs.clear();
    },
  };
}

/** What was read, and when, real ms. */
interface Remembered<T> {
  value: T;
  at: number;
}

/** What was read a moment ago, else what `ask` says; while Redis is away, what was read last. */
async function freshOr<T>(last: Remembered<T> | undefined, nowMs: number, ask: () => Promise<T>): Promise<T> {
  if (last && nowMs - last.at < freshMs) return last.value;
  try {
    return await ask();
  } catch (cause) {
    if (last && cause instanceof RecordUnavailable) return last.value;
    throw cause;
  }
}
