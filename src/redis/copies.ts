import { Cluster } from 'ioredis';
import { copiedKey } from './keys.ts';
import type { RecordClient } from './script.ts';

/** Whether what was written also lies on replicas, so that the death of one server can't take it back. */
export interface Copies {
  /**
   * Resolves once all that was written of the ward before lies on enough replicas, or after `patienceMs`: it never
   * refuses. Which of the two is what `missingSince` says.
   */
  made(wardId: string): Promise<void>;
  /** Since when (real ms) replicas have not confirmed what was written; null while all is confirmed. */
  missingSince(): number | null;
  /** The same, after another look where something was missing. */
  stillMissingSince(): Promise<number | null>;
}

export interface CopiesOptions {
  /** A connection of its own: while replicas are waited for, it serves nothing else. */
  client: RecordClient;
  /** How many replicas must have it. */
  wanted: number;
  /** How long they are waited for, ms. */
  patienceMs?: number;
  realNow?: () => number;
  /** Hears once of the first that was not confirmed. */
  trouble: (what: string, cause?: unknown) => void;
}

/** Of the time an acknowledgement has, ms. */
const usualPatienceMs = 500;
/** While replicas are known to be away nobody waits long for them, ms; one that is back answers sooner. */
const awayPatienceMs = 50;

/**
 * Waits for replicas by WAIT, which speaks for all that a server wrote before: whoever comes while one round is under way
 * shares the next, so a hundred presses cost two rounds. A round writes a key of its own, because WAIT is about the
 * connection's own last write.
 */
export function replicaCopies(options: CopiesOptions): Copies {
  const { client, wanted, patienceMs = usualPatienceMs, realNow = Date.now, trouble } = options;
  const rounds = new Map<string, { running: Promise<void>; next: Promise<void> | null }>();
  const missing = new Map<string, number>();

  const round = async (tag: string) => {
    const patience = missing.has(tag) ? awayPatienceMs : patienceMs;
    const unconfirmed = await confirm(client, tag, wanted, patience, missing.has(tag)).then(
      (copied) => (copied >= wanted ? null : undefined),
      (cause: unknown) => cause,
    );
    if (unconfirmed === null) return void missing.delete(tag);
    if (missing.size === 0) trouble('replicas do not confirm what is written', unconfirmed);
    if (!missing.has(tag)) missing.set(tag, realNow());
  };

  return {
    // One server has one stream of writes, whatever ward they are of; in a cluster each ward has its server's.
    made: (wardId) => next(client instanceof Cluster ? wardId : 'timer'),
    missingSince,
    async stillMissingSince() {
      await Promise.all([...missing.keys()].map(next));
      return missingSince();
    },
  };

  function missingSince(): number | null {
    return missing.size === 0 ? null : Math.min(...missing.values());
  }

  /** The round that speaks for all that was written until now. */
  function next(tag: string): Promise<void> {
    const under = rounds.get(tag);
    if (!under) return begin(tag);
    under.next ??= under.running.then(() => begin(tag));
    return under.next;
  }

  function begin(tag: string): Promise<void> {
    const running = round(tag);
    const mine = { running, next: null };
    rounds.set(tag, mine);
    void running.then(() => {
      if (rounds.get(tag) === mine && mine.next === null) rounds.delete(tag);
    });
    return running;
  }
}

/**
 * How many replicas have what the server of `tag` wrote up to now. `mayHaveMoved`: another server may have taken over. On a
 * cluster a pipeline whose commands are refused for different reasons doesn't follow it, and a single write does.
 */
async function confirm(
  client: RecordClient,
  tag: string,
  wanted: number,
  patienceMs: number,
  mayHaveMoved: boolean,
): Promise<number> {
  if (mayHaveMoved && client instanceof Cluster) await client.set(copiedKey(tag), '');
  const replies = await client
    .pipeline([
      ['set', copiedKey(tag), ''],
      ['wait', String(wanted), String(patienceMs)],
    ])
    .exec();
  for (const [error] of replies ?? []) if (error) throw error;
  return Number(replies?.[1]?.[1] ?? 0);
}
