import { execFileSync } from 'node:child_process';

/** Tried in order; the full paths for machines whose PATH leaves a folder out. */
const programNames = [
  'redis-server',
  'valkey-server',
  '/usr/bin/redis-server',
  '/usr/local/bin/redis-server',
  '/usr/bin/valkey-server',
  '/usr/local/bin/valkey-server',
];

/** Oldest Redis the engine works with, as [major, minor]. BullMQ 6 advises 6.2. */
const oldestVersion = [6, 2] as const;

/** The version in the words a server prints about itself ("Redis server v=7.0.15 sha=..."), or null. */
export function serverVersion(words: string): { major: number; minor: number; text: string } | null {
  const found = /v=(\d+)\.(\d+)\S*/.exec(words);
  if (found === null) return null;
  return { major: Number(found[1]), minor: Number(found[2]), text: found[0].slice(2) };
}

/** Whether that version can keep the record. */
export function isNewEnough({ major, minor }: { major: number; minor: number }): boolean {
  return major > oldestVersion[0] || (major === oldestVersion[0] && minor >= oldestVersion[1]);
}

/**
 * The Redis or Valkey server program of this machine.
 * @throws when there is none, or only one that is too old; the message says what to install
 */
export function findRedisServer(names: readonly string[] = programNames): string {
  let tooOld: string | null = null;
  for (const name of names) {
    let words: string;
    try {
      words = execFileSync(name, ['--version'], { encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'] });
    } catch {
      continue;
    }
    const version = serverVersion(words);
    if (version !== null && isNewEnough(version)) return name;
    tooOld ??= `${name} ${version?.text ?? 'of unknown version'}`;
  }
  const remedy =
    'install Redis 6.2 or newer, or Valkey (Debian: apt-get install redis-server), or set REDIS_URL';
  throw new Error(
    tooOld === null
      ? `No redis-server or valkey-server was found on this machine: ${remedy}.`
      : `${tooOld} is too old to keep the record: ${remedy}.`,
  );
}
