// From a bare clone to a running script: node src/bootstrap/run.mjs <command> [words for the script]
// Plain JavaScript without dependencies, because it runs before anything is installed, on the system's Node (20 or newer).
import path from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { commands } from './commands.mjs';
import { withCompileCache } from './compile-cache.mjs';
import { dependenciesMatch, ensureDependencies } from './dependencies.mjs';
import { ensureNodeRuntime, refuseOldNode } from './node-runtime.mjs';
import { oneAtATime } from './one-at-a-time.mjs';
import { runInForeground } from './run-program.mjs';
import { SetupFault } from './setup-fault.mjs';
import { smallMemory } from './small-memory.mjs';
import { chromium, ensureSystemProgram, redisServer } from './system-packages.mjs';

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '..', '..');

/** @param {string} line */
const say = (line) => process.stderr.write(`${line}\n`);

/**
 * @param {string | undefined} name
 * @param {readonly string[]} words
 * @returns {Promise<number>} exit code
 */
async function run(name, words) {
  const command = name === undefined ? undefined : commands[name];
  if (command === undefined) {
    throw new SetupFault(
      `"${name ?? ''}" is no command of this repository: use one of ${Object.keys(commands).join(', ')}.`,
    );
  }
  refuseOldNode(process.versions.node);
  const env = withCompileCache(process.env, root);
  const withDevelopment = command.needs.development;
  const setUp = async () => {
    await ensureDependencies(root, { withDevelopment, env, say });
    return ensureNodeRuntime(root, { env, say });
  };
  const node = dependenciesMatch(root, { withDevelopment })
    ? await ensureNodeRuntime(root, { env, say })
    : await oneAtATime(root, { say }, setUp);

  if (command.needs.redis && (env['REDIS_URL'] ?? '').trim() === '') {
    await ensureSystemProgram(redisServer, { env, say });
  }
  if (command.needs.chromium && (env['CHROMIUM_PATH'] ?? '').trim() === '') {
    env['CHROMIUM_PATH'] = await ensureSystemProgram(chromium, { env, say });
  }

  const binFolder = path.join(root, 'node_modules', '.bin');
  env['PATH'] = [path.dirname(node), binFolder, env['PATH'] ?? ''].join(path.delimiter);
  const watcher = pathToFileURL(path.join(root, 'src', 'bootstrap', 'stop-with-parent.mjs')).href;
  const flags = command.stopsWithParent ? ['--import', watcher] : [];
  if (command.runsOn) {
    flags.unshift(...smallMemory.flags);
    for (const [name, value] of Object.entries(smallMemory.env)) env[name] ??= value;
  }
  return runInForeground(node, [...flags, ...command.program, ...words], { cwd: root, env });
}

try {
  process.exitCode = await run(process.argv[2], process.argv.slice(3));
} catch (error) {
  if (!(error instanceof SetupFault)) throw error;
  say(error.message);
  process.exitCode = 2;
}
