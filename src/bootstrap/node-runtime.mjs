import { chmodSync, existsSync, lstatSync, mkdirSync, rmSync, symlinkSync } from 'node:fs';
import path from 'node:path';
import { outerPath } from './outer-path.mjs';
import { runQuietly } from './run-program.mjs';
import { SetupFault } from './setup-fault.mjs';

/** The major version every script of this repository runs on. */
export const wantedNodeMajor = 24;
/** The oldest Node that can run this bootstrap. */
export const oldestNodeMajor = 20;

/**
 * @param {string} version as in process.versions.node
 * @throws {SetupFault} older than the bootstrap can work with
 */
export function refuseOldNode(version) {
  const major = Number(version.split('.')[0]);
  if (major >= oldestNodeMajor) return;
  throw new SetupFault(
    `This is Node ${version}, and Node ${oldestNodeMajor} or newer is needed to set things up: install a newer Node.js (https://nodejs.org) and run this again.`,
  );
}

/**
 * @param {string} program
 * @param {string} cwd
 * @returns {Promise<number | null>} major version, or null when it does not run
 */
async function majorOf(program, cwd) {
  if (!existsSync(program)) return null;
  const { code, output } = await runQuietly(program, ['--version'], { cwd, env: process.env });
  const major = Number(/^v(\d+)\./.exec(output)?.[1]);
  return code === 0 && Number.isInteger(major) ? major : null;
}

/**
 * `node_modules/.bin/node` must lead to the binary, also when npm made no link because the file was not there yet.
 * @param {string} root
 * @param {string} binary
 */
function linkIntoBin(root, binary) {
  const link = path.join(root, 'node_modules', '.bin', 'node');
  if (existsSync(link)) return;
  mkdirSync(path.dirname(link), { recursive: true });
  if (lstatSync(link, { throwIfNoEntry: false }) !== undefined) rmSync(link);
  symlinkSync(path.relative(path.dirname(link), binary), link);
}

/**
 * The Node 24 that runs our TypeScript as it is. It comes with the npm package `node`, whose install step fetches
 * the binary for this machine; an npm that skips install scripts leaves it out without a word, so we run that step.
 * @param {string} root
 * @param {{ env: NodeJS.ProcessEnv, say: (line: string) => void }} options
 * @returns {Promise<string>} full path of the binary
 * @throws {SetupFault} it is missing and could not be fetched
 */
export async function ensureNodeRuntime(root, { env, say }) {
  const binary = path.join(root, 'node_modules', 'node', 'bin', 'node');
  if ((await majorOf(binary, root)) === wantedNodeMajor) {
    linkIntoBin(root, binary);
    return binary;
  }
  const installStep = path.join(root, 'node_modules', 'node', 'installArchSpecificPackage.js');
  let output = '';
  if (existsSync(installStep)) {
    say(
      `npm left out the Node ${wantedNodeMajor} binary (it skips install scripts here); fetching it now ...`,
    );
    const searchPath = outerPath(env['PATH']);
    ({ output } = await runQuietly(process.execPath, [installStep], {
      cwd: path.dirname(installStep),
      env: { ...env, PATH: searchPath },
    }));
    if (existsSync(binary)) chmodSync(binary, 0o755);
    if ((await majorOf(binary, root)) === wantedNodeMajor) {
      linkIntoBin(root, binary);
      return binary;
    }
  }
  if (Number(process.versions.node.split('.')[0]) === wantedNodeMajor) return process.execPath;
  if (output.trim() !== '') say(output.trimEnd());
  throw new SetupFault(
    `Node ${wantedNodeMajor} for ${process.platform} ${process.arch} could not be fetched from the package registry: install Node ${wantedNodeMajor} yourself (https://nodejs.org) and run this again.`,
  );
}
