import type { RecordClient } from './script.ts';

/** Thrown when a Redis must not keep the record. Its message says what is wrong and how to put it right. */
export class RedisUnfitError extends Error {
  constructor(message: string) {
    super(message);
    this.name = 'RedisUnfitError';
  }
}

/** What is not as it should be but does not forbid starting; plain sentences for the operator. */
export interface RedisFitness {
  warnings: string[];
}

function field(info: string, name: string): string | undefined {
  return new RegExp(`^${name}:(.*?)\\r?$`, 'm').exec(info)?.[1];
}

/** A setting, or null where the server does not let us ask (managed services often forbid CONFIG). */
async function configValue(client: Pick<RecordClient, 'config'>, name: string): Promise<string | null> {
  try {
    const [, value] = (await client.config('GET', name)) as string[];
    return value ?? null;
  } catch {
    return null;
  }
}

/** What there is to say where replicas are there and nobody waits for them. */
async function unwaitedReplicas(client: Pick<RecordClient, 'info'>): Promise<string[]> {
  const replicas = Number(field(await client.info('replication'), 'connected_slaves') ?? 0);
  if (replicas === 0) return [];
  return [
    `This Redis has replicas (${replicas}), but “recorded” is said before one of them has the entry: it is lost if this server dies first and another takes over. Set REDIS_COPIES=1.`,
  ];
}

/**
 * Makes sure that a Redis given by REDIS_URL keeps what it is told. `copies`: replicas that are waited for before “recorded” is said.
 * An eviction policy other than noeviction is refused: it would silently forget duties and queued wake-ups.
 * @throws RedisUnfitError
 */
export async function assertRedisFit(
  client: Pick<RecordClient, 'config' | 'info'>,
  { copies }: { copies: number },
): Promise<RedisFitness> {
  const warnings = copies === 0 ? await unwaitedReplicas(client) : [];
  const memory = await client.info('memory');
  const policy = field(memory, 'maxmemory_policy') ?? (await configValue(client, 'maxmemory-policy'));
  if (policy === null) {
    warnings.push(
      'This Redis does not tell its maxmemory-policy: make sure that it is noeviction, or reminders can be forgotten.',
    );
  } else if (policy !== 'noeviction') {
    throw new RedisUnfitError(
      `This Redis has maxmemory-policy ${policy} and may throw entries of the record away when memory runs short; only noeviction is allowed. Run "CONFIG SET maxmemory-policy noeviction" and put the same into its configuration, then start again.`,
    );
  }

  const persistence = await client.info('persistence');
  const appendOnly = field(persistence, 'aof_enabled') ?? null;
  if (appendOnly !== '1') {
    warnings.push(
      'This Redis keeps no append-only file: what was told since its last snapshot is lost when it restarts. Set appendonly yes and appendfsync always.',
    );
    return { warnings };
  }
  const fsync = await configValue(client, 'appendfsync');
  if (fsync === null) {
    warnings.push('This Redis does not tell its appendfsync setting: make sure that it is always.');
  } else if (fsync !== 'always') {
    warnings.push(
      `This Redis has appendfsync ${fsync}: a power cut can lose what was told in the last moments. Set appendfsync always.`,
    );
  }
  return { warnings };
}
