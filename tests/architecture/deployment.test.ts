import { spawnSync } from 'node:child_process';
import {
  copyFileSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { describe, expect, onTestFinished, test } from 'vitest';
import { parse } from 'yaml';
import * as z from 'zod';
import { menuShortcut } from '../../src/chat/listeners/shortcut.ts';
import { stripShortcut } from '../../src/chat/listeners/strip.ts';
import { createMetrics } from '../../src/observe/metrics.ts';
import { practiceWorld } from '../../src/practice/practice-world.ts';
import { settingNames } from '../../src/programs/settings.ts';
import { findRedisServer } from '../../src/redis/redis-server-program.ts';
import { eventsHeard } from '../../src/slack/edge/events.ts';
import { botScopes } from '../../src/slack/install/bolt-install.ts';

const repository = path.resolve(import.meta.dirname, '..', '..');
const read = (file: string) => readFileSync(path.join(repository, file), 'utf8');

// Limits and keys: Slack's app manifest reference (docs.slack.dev/reference/app-manifest).
const manifestSchema = z.strictObject({
  _metadata: z.strictObject({ major_version: z.literal([1, 2]), minor_version: z.int() }),
  display_information: z.strictObject({
    name: z.string().max(35),
    description: z.string().max(140),
    long_description: z.string().min(174).max(4000),
    background_color: z.string().regex(/^#[0-9a-f]{6}$/),
  }),
  features: z.strictObject({
    app_home: z.strictObject({
      home_tab_enabled: z.boolean(),
      messages_tab_enabled: z.boolean(),
      messages_tab_read_only_enabled: z.boolean(),
    }),
    bot_user: z.strictObject({ display_name: z.string().max(80), always_online: z.boolean() }),
    slash_commands: z
      .array(
        z.strictObject({
          command: z.string().max(32),
          description: z.string().max(2000),
          usage_hint: z.string().max(1000),
          should_escape: z.boolean(),
          url: z.url().optional(),
        }),
      )
      .max(50),
    shortcuts: z
      .array(
        z.strictObject({
          name: z.string().max(24),
          type: z.enum(['message', 'global']),
          callback_id: z.string().max(255),
          description: z.string().max(150),
        }),
      )
      .max(10),
  }),
  oauth_config: z.strictObject({
    redirect_urls: z.array(z.url()).max(1000).optional(),
    scopes: z.strictObject({ bot: z.array(z.string()) }),
  }),
  settings: z.strictObject({
    event_subscriptions: z.strictObject({ request_url: z.url().optional(), bot_events: z.array(z.string()) }),
    interactivity: z.strictObject({ is_enabled: z.literal(true), request_url: z.url().optional() }),
    org_deploy_enabled: z.boolean(),
    socket_mode_enabled: z.boolean(),
    token_rotation_enabled: z.literal(false),
  }),
});

describe('docs/deploy/manifest.yaml', () => {
  const manifest = manifestSchema.parse(parse(read('docs/deploy/manifest.yaml')));

  test('declares the default slash command, with mentions handed over as ids', () => {
    expect(manifest.features.slash_commands.map(({ command }) => command)).toEqual(['/artline']);
    expect(manifest.features.slash_commands[0]?.should_escape).toBe(true);
  });

  test('declares the shortcuts that the chat edge answers, and no other', () => {
    expect(manifest.features.shortcuts.map(({ callback_id, type }) => [type, callback_id])).toEqual([
      ['global', menuShortcut],
      ['message', stripShortcut],
    ]);
    expect(read('src/slack/edge/shortcuts.ts').match(/\.shortcut</g)).toHaveLength(2);
    const { shortcuts, globalShortcuts } = practiceWorld();
    expect(shortcuts.map(({ callbackId }) => callbackId)).toEqual([stripShortcut]);
    expect(globalShortcuts.map(({ callbackId }) => callbackId)).toEqual([menuShortcut]);
  });

  test('has the Home tab, and the event that draws it; every event the chat edge listens to, and no other', () => {
    expect(manifest.features.app_home.home_tab_enabled).toBe(true);
    expect(manifest.settings.event_subscriptions.bot_events).toEqual(eventsHeard);
  });

  test('lets the bot write direct messages', () => {
    expect(manifest.features.app_home.messages_tab_enabled).toBe(true);
  });

  // Which method needs which scope: Slack's method reference (docs.slack.dev/reference/methods).
  test('asks for the scopes of the methods that are called, and no other', () => {
    const scopeOfCall: [call: RegExp, scopes: string[]][] = [
      [/chat\.(postMessage|update|scheduleMessage)/, ['chat:write']],
      [/conversations\.open/, ['im:write']],
      [/conversations\s*\.(members|info)/, ['channels:read', 'groups:read']],
      [/conversations\.history/, ['channels:history', 'groups:history', 'im:history']],
      [/users\.info/, ['users:read']],
      [/event\('app_mention'/, ['app_mentions:read']],
      [/files\.info/, ['files:read']],
      [/completeUploadExternal/, ['files:write']],
    ];
    const files = readdirSync(path.join(repository, 'src', 'slack'), { recursive: true, encoding: 'utf8' });
    const source = files
      .filter((file) => file.endsWith('.ts'))
      .map((file) => read(path.join('src', 'slack', file)))
      .join('\n');
    const needed = scopeOfCall.filter(([call]) => call.test(source)).flatMap(([, scopes]) => scopes);
    expect(new Set(manifest.oauth_config.scopes.bot)).toEqual(new Set(['commands', ...needed]));
  });
});

describe('docs/deploy/manifest-http.yaml', () => {
  const manifest = manifestSchema.parse(parse(read('docs/deploy/manifest-http.yaml')));
  const plain = manifestSchema.parse(parse(read('docs/deploy/manifest.yaml')));
  const at = (pathname: string) => `https://dicrotic.example${pathname}`;

  test('is the same app, reached over HTTP: one address for all, and where an administrator comes back to', () => {
    const { settings, oauth_config: oauth, features } = manifest;
    expect(plain.settings.socket_mode_enabled).toBe(true);
    expect(settings.socket_mode_enabled).toBe(false);
    expect(settings.org_deploy_enabled).toBe(true);
    expect(settings.event_subscriptions.request_url).toBe(at('/slack/events'));
    expect(settings.interactivity.request_url).toBe(at('/slack/events'));
    expect(features.slash_commands.map(({ url }) => url)).toEqual([at('/slack/events')]);
    expect(oauth.redirect_urls).toEqual([at('/slack/oauth_redirect')]);
    expect(settings.event_subscriptions.bot_events).toEqual(eventsHeard);
    expect(features.shortcuts).toEqual(plain.features.shortcuts);
  });

  test('and installing ask for the scopes that one workspace does, and no other', () => {
    expect(manifest.oauth_config.scopes).toEqual(plain.oauth_config.scopes);
    expect([...botScopes].toSorted()).toEqual(plain.oauth_config.scopes.bot.toSorted());
  });
});

const composeSchema = z.object({
  services: z.object({
    bot: z.object({
      build: z.object({ context: z.string() }),
      environment: z.record(z.string(), z.string()),
      depends_on: z.object({ redis: z.object({ condition: z.literal('service_healthy') }) }),
      ports: z.array(z.string().startsWith('127.0.0.1:')),
      volumes: z.array(z.string()),
    }),
    redis: z.strictObject({
      image: z.string().regex(/^redis:7\.\d/),
      restart: z.literal('unless-stopped'),
      stop_grace_period: z.string(),
      command: z.array(z.string()),
      healthcheck: z.object({ test: z.array(z.string()) }),
      volumes: z.array(z.string()),
    }),
  }),
  volumes: z.record(z.string(), z.null()),
});

// CycloneDX' own taxonomy for npm: cdx:npm:package:development (github.com/CycloneDX/cyclonedx-property-taxonomy).
test('npm sbom, as docs/operations.md has it, lists each package of the lock file, and marks what only tests need', () => {
  const command = /`npm (sbom [^`]+)`/.exec(read('docs/operations.md'))?.[1] ?? '';
  const run = spawnSync('npm', command.split(' '), { cwd: repository, encoding: 'utf8' });
  const property = z.object({ name: z.string(), value: z.string() });
  const { components } = z
    .object({
      components: z.array(
        z.object({ name: z.string(), version: z.string(), properties: z.array(property).default([]) }),
      ),
    })
    .parse(JSON.parse(run.stdout));
  const listed = new Map(
    components.map(({ name, version, properties }) => [
      `${name} ${version}`,
      properties.some((one) => one.name === 'cdx:npm:package:development'),
    ]),
  );
  const { packages } = z
    .object({
      packages: z.record(
        z.string(),
        z.object({
          name: z.string().optional(),
          version: z.string().optional(),
          dev: z.boolean().optional(),
        }),
      ),
    })
    .parse(JSON.parse(read('package-lock.json')));
  const locked = Object.entries(packages).filter(([where]) => where !== '');
  expect(locked.length).toBeGreaterThan(100);
  for (const [where, { name = where.split('node_modules/').at(-1), version, dev }] of locked)
    expect(listed.get(`${name} ${version}`), `${name} ${version}`).toBe(dev ?? false);
});

describe('docs/deploy/compose.yaml', () => {
  const compose = composeSchema.parse(parse(read('docs/deploy/compose.yaml')));

  test('starts Redis written through to disk, evicting nothing, ticking 100 times a second', () => {
    const [program, ...flags] = compose.services.redis.command;
    expect(program).toBe('redis-server');
    expect(
      Object.fromEntries(flags.flatMap((flag, i) => (i % 2 === 0 ? [[flag, flags[i + 1]]] : []))),
    ).toEqual({
      '--appendonly': 'yes',
      '--appendfsync': 'always',
      '--aof-load-truncated': 'yes',
      '--maxmemory-policy': 'noeviction',
      '--hz': '100',
      '--save': '',
    });
  });

  test('gives Redis flags that this Redis accepts', () => {
    const folder = mkdtempSync(path.join(os.tmpdir(), 'dic-'));
    onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
    const words = compose.services.redis.command.slice(1);
    // Told to listen nowhere, it ends by itself once it has taken its flags.
    const run = spawnSync(findRedisServer(), [...words, '--port', '0', '--dir', folder], {
      encoding: 'utf8',
    });
    expect(run.stdout + run.stderr).toContain('Configuration loaded');
    expect(run.stdout + run.stderr).not.toContain('FATAL CONFIG');
  });

  test('gives the bot only settings that there are', () => {
    expect(settingNames).toEqual(expect.arrayContaining(Object.keys(compose.services.bot.environment)));
  });

  test('names volumes that it declares', () => {
    const named = [...compose.services.bot.volumes, ...compose.services.redis.volumes].map(
      (v) => v.split(':')[0],
    );
    expect(new Set(Object.keys(compose.volumes))).toEqual(new Set(named));
  });

  test('builds the image of this repository', () => {
    const context = path.resolve(repository, 'docs/deploy', compose.services.bot.build.context);
    expect(context).toBe(repository);
  });
});

describe('Dockerfile', () => {
  const lines = read('Dockerfile').replaceAll('\\\n', '').split('\n');
  const instruction = (name: string) => lines.filter((line) => line.startsWith(`${name} `));

  test('runs as a user who is not root, on Node 24', () => {
    expect(instruction('USER')).toEqual(['USER node']);
    expect(instruction('FROM').every((line) => line.startsWith('FROM node:24-'))).toBe(true);
  });

  test('starts the main as it is and looks at /healthz', () => {
    expect(instruction('CMD')).toEqual([
      expect.stringMatching(/^CMD \["node", ("--.+", )+"src\/programs\/bot\/main.ts"\]$/),
    ]);
    expect(instruction('HEALTHCHECK')[0]).toContain('/healthz');
  });

  test('copies only what the ignore file lets through', () => {
    const allowed = read('.dockerignore')
      .split('\n')
      .filter((line) => line.startsWith('!'))
      .map((line) => line.slice(1));
    const copied = instruction('COPY')
      .filter((line) => !line.includes('--from'))
      .flatMap((line) => line.split(' ').slice(1, -1));
    expect(new Set(copied)).toEqual(new Set(allowed));
  });

  test('runs its health check against a living and a dead server', () => {
    const command: string[] = JSON.parse(
      /CMD (\[.*\])/.exec(instruction('HEALTHCHECK')[0] ?? '')?.[1] ?? '[]',
    );
    const script = command[2] ?? '';
    const probe = `
      const { createServer } = require('node:http'); const { spawn } = require('node:child_process');
      const server = createServer((request, response) => response.end('ok')).listen(0, () => {
        const env = { ...process.env, HEALTH_PORT: String(server.address().port) };
        const check = (then) => spawn(process.execPath, ['-e', ${JSON.stringify(script)}], { env }).on('close', then);
        check((alive) => server.close(() => check((dead) => console.log(alive, dead))));
      });`;
    expect(spawnSync(process.execPath, ['-e', probe], { encoding: 'utf8' }).stdout).toBe('0 1\n');
  });
});

describe('docs/operations.md', () => {
  const text = read('docs/operations.md');
  const firstCells = (heading: string) =>
    [
      ...(text.split(`\n## ${heading}\n`)[1]?.split('\n## ')[0] ?? '').matchAll(
        /^\| `(\w+)(?:\{\w+\})?` \|/gm,
      ),
    ].map((m) => m[1]);

  test('lists every setting there is and no other', () => {
    expect(new Set(firstCells('Settings'))).toEqual(new Set(settingNames));
  });

  test('lists every metric there is and no other', () => {
    const { registry } = createMetrics({ withProcessMetrics: false });
    const names = registry.getMetricsAsArray().map((metric) => metric.name);
    expect(new Set(firstCells('Health'))).toEqual(new Set(names));
  });
});

describe('.ci/run', () => {
  /** Runs it beside an npm that answers `check` and `test` as told. */
  function run(npm: { check: string; test: string }): { code: number | null; lines: string[] } {
    const root = mkdtempSync(path.join(os.tmpdir(), 'dic-'));
    onTestFinished(() => rmSync(root, { recursive: true, force: true }));
    mkdirSync(path.join(root, '.ci'));
    mkdirSync(path.join(root, 'bin'));
    copyFileSync(path.join(repository, '.ci', 'run'), path.join(root, '.ci', 'run'));
    const shell = `#!/bin/sh\ncase "$*" in *check*) ${npm.check};; *test*) ${npm.test};; *) exit 99;; esac\n`;
    writeFileSync(path.join(root, 'bin', 'npm'), shell, { mode: 0o755 });
    const { status, stdout } = spawnSync('bash', [path.join(root, '.ci', 'run')], {
      encoding: 'utf8',
      env: { PATH: `${path.join(root, 'bin')}:${process.env['PATH']}` },
    });
    return { code: status, lines: stdout.trimEnd().split('\n') };
  }

  test("ends with the tests' closing line and code 0 when all is well", () => {
    const { code, lines } = run({
      check: 'echo checked',
      test: 'echo "12 passed, 0 failed"; echo afterword',
    });
    expect(lines.at(-1)).toBe('12 passed, 0 failed');
    expect(code).toBe(0);
  });

  test('fails when a check fails, and runs the tests all the same', () => {
    const { code, lines } = run({ check: 'exit 1', test: 'echo "12 passed, 0 failed, 1 skipped"' });
    expect(lines.slice(-2)).toEqual(['npm run check failed, see above.', '12 passed, 0 failed, 1 skipped']);
    expect(code).toBe(1);
  });

  test('fails when a test fails', () => {
    const { code, lines } = run({ check: 'true', test: 'echo "11 passed, 1 failed"; exit 1' });
    expect(lines.at(-1)).toBe('11 passed, 1 failed');
    expect(code).toBe(1);
  });

  test('fails when the tests never reach their end', () => {
    const { code, lines } = run({ check: 'true', test: 'echo "no line"' });
    expect(lines.at(-1)).toBe('the tests did not reach their end');
    expect(code).toBe(1);
  });
});
