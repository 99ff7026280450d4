import { randomBytes } from 'node:crypto';
import { setTimeout as pause } from 'node:timers/promises';
import { WebAPIPlatformError } from '@slack/web-api';
import type { InstallationShelf } from '../../app/installations.ts';
import type { Installation } from './installation.ts';

/** An installation as it is kept, opened. */
export interface Standing {
  installation: Installation;
  since: string;
}

/** Asks the platform for the next token; the refresh token is good for one use. */
export type AskNext = (
  refreshToken: string,
) => Promise<{ token: string; refreshToken: string; expiresAt: number }>;

export interface RenewParts {
  shelf: InstallationShelf;
  /** Reads what is kept now; null where it was erased. */
  read: (id: string) => Promise<Standing | null>;
  seal: (installation: Installation) => string;
  askNext: AskNext;
  realNow: () => number;
  trouble: (what: string, ids: Record<string, string | number>, cause?: unknown) => void;
}

/** A token is renewed from so long before it runs out, ms: as the platform's own library does. */
export const renewAheadMs = 2 * 3_600_000;
/** Longer than the call that renews may take, ms: nobody else begins one meanwhile. */
const lockMs = 30_000;
/** How long somebody without a token that is good waits for whoever is renewing it, ms. */
const othersPatienceMs = 10_000;
const lookAgainMs = 200;
/** Waits before what was renewed is written again, where Redis did not take it, ms. */
const writeAgainMs = [0, 200, 1_000] as const;

/** Whether it should be renewed by now. */
export function isDue({ renewal }: Installation, now: number): boolean {
  return renewal !== null && now >= renewal.expiresAt - renewAheadMs;
}

/** Whether the token is still taken, with time for a call. */
export function isGood({ renewal }: Installation, now: number, sparesMs = 15_000): boolean {
  return renewal === null || now < renewal.expiresAt - sparesMs;
}

/**
 * Renews a token, one process at a time: a refresh token used twice is worth nothing, and its workspace would have to install the
 * app anew. Whoever is not the one takes the token that stands, or waits for the new one. Gives the installation as it is then;
 * null where it was erased meanwhile.
 */
export async function renewed(parts: RenewParts, id: string, stood: Standing): Promise<Standing | null> {
  const { shelf, read, realNow } = parts;
  const own = randomBytes(8).toString('hex');
  if (!(await shelf.lock(id, own, lockMs))) return othersToken(parts, id, stood);
  try {
    const latest = await read(id);
    // Whoever had the lock before may have done it.
    if (!latest || !isDue(latest.installation, realNow())) return latest;
    return await next(parts, id, latest);
  } finally {
    await shelf.unlock(id, own).catch(() => undefined);
  }
}

async function othersToken(
  { read, realNow }: RenewParts,
  id: string,
  stood: Standing,
): Promise<Standing | null> {
  if (isGood(stood.installation, realNow())) return stood;
  for (let waited = 0; waited < othersPatienceMs; waited += lookAgainMs) {
    await pause(lookAgainMs);
    const latest = await read(id);
    if (!latest || isGood(latest.installation, realNow())) return latest;
  }
  throw new Error('the token has run out and nobody could renew it');
}

async function next(parts: RenewParts, id: string, stood: Standing): Promise<Standing | null> {
  const { read, askNext, realNow, trouble } = parts;
  const { installation, since } = stood;
  const { renewal } = installation;
  if (renewal === null) return stood;
  let answer: Awaited<ReturnType<AskNext>>;
  try {
    answer = await askNext(renewal.refreshToken);
  } catch (cause) {
    const latest = await read(id);
    // Renewed by somebody whose lock had run out, or installed anew.
    if (!latest || latest.installation.token !== installation.token) return latest;
    const isSpent = cause instanceof WebAPIPlatformError && cause.data.error === 'invalid_refresh_token';
    const left = Math.round((renewal.expiresAt - realNow()) / 60_000);
    trouble(
      isSpent
        ? 'a workspace’s token can’t be renewed any more: have the app installed there anew before it runs out'
        : 'a workspace’s token could not be renewed; it is tried again',
      { team: id, dueMs: left * 60_000 },
      cause,
    );
    if (isGood(installation, realNow(), 0)) return stood;
    throw cause;
  }
  const after: Standing = {
    installation: {
      ...installation,
      token: answer.token,
      renewal: { refreshToken: answer.refreshToken, expiresAt: answer.expiresAt },
    },
    since,
  };
  return (await written(parts, id, after)) ? after : ((await read(id)) ?? null);
}

/** Writes down what was renewed. It exists nowhere else, so a Redis that is away for a moment is waited for. */
async function written({ shelf, seal, trouble }: RenewParts, id: string, after: Standing): Promise<boolean> {
  const { installation, since } = after;
  const kept = { sealed: seal(installation), since, expiresAt: installation.renewal?.expiresAt ?? null };
  let failed: unknown;
  for (const waitMs of writeAgainMs) {
    await pause(waitMs);
    try {
      return await shelf.renew(id, kept);
    } catch (cause) {
      failed = cause;
    }
  }
  trouble(
    'a renewed token could not be written down and is kept in this process alone',
    { team: id },
    failed,
  );
  throw new NotWritten(after, failed);
}

/** Thrown where a renewed token is known to this process alone: whoever catches it must keep it. */
export class NotWritten extends Error {
  readonly after: Standing;
  constructor(after: Standing, cause: unknown) {
    super('a renewed token could not be written down', { cause });
    this.name = 'NotWrittenError';
    this.after = after;
  }
}
