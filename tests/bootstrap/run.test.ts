import { spawn } from 'node:child_process';
import { existsSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';
import { smallClone, startBootstrap, temporaryFolder, writeProgram } from './small-clone.ts';

const untilToldToStop = `
  process.on('SIGTERM', () => { process.stdout.write('stopping\\n'); process.exit(0); });
  process.stdout.write('up ' + process.pid + '\\n');
  setInterval(() => {}, 1000);
`;

describe('run.mjs', () => {
  test('runs the main on Node 24 and hands its words on', async () => {
    const root = smallClone('process.stdout.write(process.version + " " + process.argv.slice(2).join("+"));');
    const { code, output } = await startBootstrap(root, ['start', 'one', 'two']).ended;
    expect(output).toMatch(/^v24\.\d+\.\d+ one\+two$/);
    expect(code).toBe(0);
  });

  test('keeps small what runs for weeks, as the Dockerfile does, but for what the operator set', async () => {
    const root = smallClone(
      'process.stdout.write(JSON.stringify([process.execArgv, process.env.MALLOC_ARENA_MAX]));',
    );
    const dockerfile = readFileSync(path.join(import.meta.dirname, '../../Dockerfile'), 'utf8');
    const flags = [...dockerfile.matchAll(/"(--[^"]+)"/g)].map(([, flag]) => flag);
    const arenas = /MALLOC_ARENA_MAX=(\d+)/.exec(dockerfile)?.[1];
    const printed = async (env = {}) =>
      JSON.parse((await startBootstrap(root, ['start'], env).ended).output) as [string[], string];
    const [given, max] = await printed();
    expect(given).toEqual(expect.arrayContaining(flags));
    expect(flags.length).toBe(4);
    expect(max).toBe(arenas);
    expect((await printed({ MALLOC_ARENA_MAX: '4' }))[1]).toBe('4');
  });

  test('runs TypeScript as it is', async () => {
    const root = smallClone('const greeting: string = "typed"; process.stdout.write(greeting);');
    expect((await startBootstrap(root, ['start']).ended).output).toBe('typed');
  });

  test('gives the exit code of the main as its own', async () => {
    const root = smallClone('process.exit(17);');
    expect((await startBootstrap(root, ['start']).ended).code).toBe(17);
  });

  test('gives 128 + 9 when the main is killed outright, as a shell does', async () => {
    const root = smallClone('process.kill(process.pid, "SIGKILL");');
    expect((await startBootstrap(root, ['start']).ended).code).toBe(137);
  });

  test('passes SIGTERM on and waits for the main to finish', async () => {
    const run = startBootstrap(smallClone(untilToldToStop), ['start']);
    await run.printed('up ');
    run.child.kill('SIGTERM');
    expect(await run.ended).toMatchObject({ code: 0, output: expect.stringContaining('stopping') });
  });

  test('lets the main stop when the script that started it is killed outright', async () => {
    const root = smallClone(`
      import { writeFileSync } from 'node:fs';
      process.on('SIGTERM', () => { writeFileSync('stopped', ''); process.exit(0); });
      process.stdout.write('up\\n');
      setInterval(() => {}, 1000);
    `);
    const run = startBootstrap(root, ['start']);
    await run.printed('up');
    run.child.kill('SIGKILL');
    await run.ended;
    await expect.poll(() => existsSync(path.join(root, 'stopped')), { timeout: 10_000 }).toBe(true);
  });

  test('lets the main stop when npm, and the shell it runs the script in, are told to stop', async () => {
    const root = smallClone(`
      import { writeFileSync } from 'node:fs';
      process.on('SIGTERM', () => { writeFileSync('stopped', ''); process.exit(0); });
      writeFileSync('up', '');
      setTimeout(() => process.exit(1), 30_000);
    `);
    const shell = spawn('sh', ['-c', `"${process.execPath}" src/bootstrap/run.mjs start; true`], {
      cwd: root,
      env: {
        PATH: process.env['PATH'] ?? '',
        REDIS_URL: 'redis://127.0.0.1:1',
        npm_lifecycle_event: 'start',
      },
      stdio: 'ignore',
    });
    await expect.poll(() => existsSync(path.join(root, 'up')), { timeout: 10_000 }).toBe(true);
    shell.kill('SIGTERM');
    await expect.poll(() => existsSync(path.join(root, 'stopped')), { timeout: 10_000 }).toBe(true);
  });

  test('names the commands there are when it is given another', async () => {
    const { code, output } = await startBootstrap(smallClone(''), ['strat']).ended;
    expect(output).toBe(
      '"strat" is no command of this repository: use one of start, jobs, demo, strip, strip:accuracy, quiet, simulate, export, audit, restore, erase, bench, test, mutate, check, fmt.\n',
    );
    expect(code).toBe(2);
  });
});

describe('run.mjs, when dependencies are missing', () => {
  test('installs them with npm ci, once', async () => {
    const root = smallClone('process.stdout.write("ran");');
    const bin = temporaryFolder();
    writeProgram(
      path.join(bin, 'npm'),
      `echo "$@" >> "${bin}/calls"; cp "${root}/package-lock.json" "${root}/node_modules/.package-lock.json"`,
    );
    rmSync(path.join(root, 'node_modules', '.package-lock.json'));
    const env = { PATH: `${bin}:${process.env['PATH']}` };
    const first = await startBootstrap(root, ['start'], env).ended;
    expect(first).toEqual({
      code: 0,
      output: 'Installing dependencies from package-lock.json (once; a minute or two) ...\nran',
    });
    expect((await startBootstrap(root, ['start'], env).ended).output).toBe('ran');
    expect(readFileSync(path.join(bin, 'calls'), 'utf8')).toBe('ci --no-audit --no-fund --loglevel=error\n');
  });

  test('installs again when the lock file asks for another version', async () => {
    const root = smallClone('');
    const bin = temporaryFolder();
    writeProgram(path.join(bin, 'npm'), `touch "${bin}/called"; exit 1`);
    const lock = { packages: { '': {}, 'node_modules/invented': { version: '1.0.1' } } };
    writeFileSync(path.join(root, 'package-lock.json'), JSON.stringify(lock));
    await startBootstrap(root, ['start'], { PATH: `${bin}:${process.env['PATH']}` }).ended;
    expect(existsSync(path.join(bin, 'called'))).toBe(true);
  });

  test('shows npm words and one sentence when npm fails, and ends with code 2', async () => {
    const root = smallClone('');
    const bin = temporaryFolder();
    writeProgram(path.join(bin, 'npm'), 'echo "npm error ENOTFOUND"; exit 7');
    rmSync(path.join(root, 'node_modules', '.package-lock.json'));
    const { code, output } = await startBootstrap(root, ['start'], { PATH: `${bin}:${process.env['PATH']}` })
      .ended;
    expect(output).toContain('npm error ENOTFOUND\nnpm ci ended with code 7');
    expect(code).toBe(2);
  });

  test('lets a second command wait instead of installing at the same time', async () => {
    const root = smallClone('process.stdout.write("ran");');
    const bin = temporaryFolder();
    writeProgram(
      path.join(bin, 'npm'),
      `echo call >> "${bin}/calls"; sleep 1; cp "${root}/package-lock.json" "${root}/node_modules/.package-lock.json"`,
    );
    rmSync(path.join(root, 'node_modules', '.package-lock.json'));
    const env = { PATH: `${bin}:${process.env['PATH']}` };
    const runs = [startBootstrap(root, ['start'], env), startBootstrap(root, ['start'], env)];
    const endings = await Promise.all(runs.map((run) => run.ended));
    expect(endings.map((ending) => ending.code)).toEqual([0, 0]);
    expect(readFileSync(path.join(bin, 'calls'), 'utf8')).toBe('call\n');
  });
});

describe('run.mjs, when npm skips install scripts', () => {
  test('runs the install step of the package "node" itself and says so', async () => {
    const root = smallClone('process.stdout.write(process.version);');
    const packageFolder = path.join(root, 'node_modules', 'node');
    rmSync(path.join(packageFolder, 'bin', 'node'));
    writeFileSync(path.join(packageFolder, 'package.json'), '{}');
    writeFileSync(
      path.join(packageFolder, 'installArchSpecificPackage.js'),
      `require('node:fs').symlinkSync(${JSON.stringify(process.execPath)}, 'bin/node');`,
    );
    const { code, output } = await startBootstrap(root, ['start']).ended;
    expect(output).toMatch(/^npm left out the Node 24 binary .*fetching it now \.\.\.\nv24\./);
    expect(code).toBe(0);
    expect(existsSync(path.join(root, 'node_modules', '.bin', 'node'))).toBe(true);
  });
});
