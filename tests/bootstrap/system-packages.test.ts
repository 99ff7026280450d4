import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { describe, expect, test } from 'vitest';
import { temporaryFolder, writeProgram } from './small-clone.ts';

interface SystemPackages {
  redisServer: object;
  chromium: object;
  ensureSystemProgram: (
    program: object,
    options: { env: Record<string, string>; say: (line: string) => void; machine: object },
  ) => Promise<string>;
}

const file = path.resolve(import.meta.dirname, '../../src/bootstrap/system-packages.mjs');
const { redisServer, chromium, ensureSystemProgram }: SystemPackages = await import(pathToFileURL(file).href);

/** A machine with an empty bin folder, whose apt-get (when `aptGet` is given) runs that shell text. */
function bareMachine({ userId = 0, aptGet = '' } = {}) {
  const folder = temporaryFolder();
  const bin = path.join(folder, 'bin');
  const lists = path.join(folder, 'lists');
  mkdirSync(bin);
  mkdirSync(lists);
  if (aptGet !== '') writeProgram(path.join(bin, 'apt-get'), `echo "$@" >> "${folder}/calls"\n${aptGet}`);
  const said: string[] = [];
  const policyFile = path.join(folder, 'policy-rc.d');
  return {
    bin,
    lists,
    said,
    policyFile,
    calls: () => readFileSync(path.join(folder, 'calls'), 'utf8').trimEnd().split('\n'),
    ensure: (program: object) =>
      ensureSystemProgram(program, {
        env: { PATH: bin },
        say: (line) => said.push(line),
        machine: { userId, extraFolders: [], listsFolder: lists, policyFile },
      }),
  };
}

/** Shell text that puts a server program on the machine when apt-get is told to install. */
const installing =
  'if [ "$1" = install ]; then printf "#!/bin/sh\\n" > "${0%/*}/redis-server"; chmod 755 "${0%/*}/redis-server"; fi';

describe('ensureSystemProgram', () => {
  test('takes redis-server from PATH', async () => {
    const machine = bareMachine();
    writeProgram(path.join(machine.bin, 'redis-server'), '');
    expect(await machine.ensure(redisServer)).toBe(path.join(machine.bin, 'redis-server'));
    expect(machine.said).toEqual([]);
  });

  test('takes valkey-server when there is no redis-server', async () => {
    const machine = bareMachine();
    writeProgram(path.join(machine.bin, 'valkey-server'), '');
    expect(await machine.ensure(redisServer)).toBe(path.join(machine.bin, 'valkey-server'));
  });

  test('does not take a file that cannot be run', async () => {
    const machine = bareMachine();
    writeFileSync(path.join(machine.bin, 'redis-server'), '', { mode: 0o644 });
    await expect(machine.ensure(redisServer)).rejects.toThrow('Neither redis-server nor valkey-server');
  });

  test('says in one sentence what to install where there is no apt-get', async () => {
    await expect(bareMachine().ensure(redisServer)).rejects.toThrow(
      'Neither redis-server nor valkey-server was found on this machine (Redis keeps the record): install Redis 6.2 or newer or Valkey (redis-server or valkey-server must be on PATH), or set REDIS_URL, then run this again.',
    );
  });

  test('tells a user who is not root the command to type, and installs nothing', async () => {
    const machine = bareMachine({ userId: 1000, aptGet: installing });
    await expect(machine.ensure(redisServer)).rejects.toThrow(
      'run "sudo apt-get install -y redis-server" and then this again, or set REDIS_URL.',
    );
    expect(existsSync(path.join(machine.bin, 'redis-server'))).toBe(false);
  });

  test('fetches the package lists first when there are none', async () => {
    const machine = bareMachine({ aptGet: installing });
    expect(await machine.ensure(redisServer)).toBe(path.join(machine.bin, 'redis-server'));
    expect(machine.calls()).toEqual(['update', 'install -y --no-install-recommends redis-server']);
    expect(machine.said).toEqual(["Installing redis-server from the system's packages (once) ..."]);
  });

  test('installs at once from fresh package lists', async () => {
    const machine = bareMachine({ aptGet: installing });
    writeFileSync(path.join(machine.lists, 'example_Packages.lz4'), '');
    await machine.ensure(redisServer);
    expect(machine.calls()).toEqual(['install -y --no-install-recommends redis-server']);
  });

  test('fetches the lists and tries once more when installing from them fails', async () => {
    const machine = bareMachine({ aptGet: 'exit 100' });
    writeFileSync(path.join(machine.lists, 'example_Packages.lz4'), '');
    await expect(machine.ensure(chromium)).rejects.toThrow('apt-get could not install chromium');
    expect(machine.calls().map((call) => call.split(' ')[0])).toEqual(['install', 'update', 'install']);
  });

  test("holds the system's own service back while installing, and no longer", async () => {
    const machine = bareMachine({
      aptGet: `[ "$1" = install ] && cp "\${0%/*}/../policy-rc.d" "\${0%/*}/../seen"\n${installing}`,
    });
    await machine.ensure(redisServer);
    expect(readFileSync(path.join(machine.bin, '..', 'seen'), 'utf8')).toContain('exit 101');
    expect(existsSync(machine.policyFile)).toBe(false);
  });

  test("leaves the machine's own service policy alone", async () => {
    const machine = bareMachine({ aptGet: installing });
    writeFileSync(machine.policyFile, '#!/bin/sh\nexit 0\n');
    await machine.ensure(redisServer);
    expect(readFileSync(machine.policyFile, 'utf8')).toBe('#!/bin/sh\nexit 0\n');
  });
});
