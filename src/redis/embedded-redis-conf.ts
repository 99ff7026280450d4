/** How to reach the embedded server: a private socket file, or a loopback port with a password. */
export type EmbeddedConnection = { path: string } | { host: string; port: number; password: string };

/** Socket paths are cut off by the operating system at about 104 bytes. */
const longestSocketPathBytes = 99;

/** Whether a socket of this path can be made. */
export function fitsAsSocketPath(socketPath: string): boolean {
  return Buffer.byteLength(socketPath) <= longestSocketPathBytes;
}

function quoted(text: string): string {
  return `"${text.replaceAll('\\', '\\\\').replaceAll('"', '\\"')}"`;
}

/**
 * The configuration file of the embedded server. Each write is on disk before it is answered (`appendfsync always`),
 * nothing is ever evicted, a tail torn by a power cut loads, and timers inside the server tick 100 times a second.
 */
export function redisConfText(folder: string, connection: EmbeddedConnection): string {
  const reach =
    'path' in connection
      ? ['port 0', `unixsocket ${quoted(connection.path)}`, 'unixsocketperm 700']
      : [
          `port ${connection.port}`,
          `bind ${connection.host}`,
          `requirepass ${quoted(connection.password)}`,
          'protected-mode yes',
        ];
  return [
    '# Written anew at each start; changes here are lost.',
    ...reach,
    'daemonize no',
    'set-proc-title no',
    `dir ${quoted(folder)}`,
    `pidfile ${quoted(`${folder}/redis.pid`)}`,
    'save ""',
    'appendonly yes',
    'appendfsync always',
    'no-appendfsync-on-rewrite no',
    'aof-load-truncated yes',
    'maxmemory 0',
    'maxmemory-policy noeviction',
    'hz 100',
    'loglevel notice',
    '',
  ].join('\n');
}

function setting(confText: string, name: string): string | undefined {
  const line = confText.split('\n').find((candidate) => candidate.startsWith(`${name} `));
  return line
    ?.slice(name.length + 1)
    .replace(/^"(.*)"$/, '$1')
    .replaceAll(/\\(["\\])/g, '$1');
}

/** How the server that an earlier start left behind is reached; null when the file is not one of ours. */
export function connectionInConf(confText: string): EmbeddedConnection | null {
  const socketPath = setting(confText, 'unixsocket');
  if (socketPath !== undefined) return { path: socketPath };
  const host = setting(confText, 'bind');
  const port = Number(setting(confText, 'port'));
  const password = setting(confText, 'requirepass');
  if (host === undefined || password === undefined || !Number.isInteger(port) || port === 0) return null;
  return { host, port, password };
}
