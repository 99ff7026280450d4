import { existsSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { findProgram } from './find-program.mjs';
import { outerPath } from './outer-path.mjs';
import { runQuietly } from './run-program.mjs';
import { SetupFault } from './setup-fault.mjs';

/**
 * @typedef {{ version?: string, dev?: boolean, devOptional?: boolean, optional?: boolean, peer?: boolean }} LockEntry
 */

/**
 * @param {string} file
 * @returns {Record<string, LockEntry> | null}
 */
function packagesOf(file) {
  try {
    return JSON.parse(readFileSync(file, 'utf8')).packages ?? null;
  } catch {
    return null;
  }
}

/**
 * Whether node_modules holds what package-lock.json asks for. npm writes its own account of what it installed
 * (`node_modules/.package-lock.json`) as the last step, so a broken-off install has none and does not match.
 * @param {string} root folder of package.json
 * @param {{ withDevelopment: boolean }} wanted
 * @returns {boolean}
 */
export function dependenciesMatch(root, { withDevelopment }) {
  const wanted = packagesOf(path.join(root, 'package-lock.json'));
  const installed = packagesOf(path.join(root, 'node_modules', '.package-lock.json'));
  if (wanted === null || installed === null) return false;
  return Object.entries(wanted).every(([place, entry]) => {
    if (place === '') return true;
    const there = installed[place];
    if (there !== undefined) return there.version === entry.version;
    if (entry.optional === true || entry.devOptional === true) return true;
    return entry.dev === true && !withDevelopment;
  });
}

/**
 * Makes node_modules match package-lock.json, by `npm ci` when it does not.
 * @param {string} root
 * @param {{ withDevelopment: boolean, env: NodeJS.ProcessEnv, say: (line: string) => void }} options
 * @throws {SetupFault} npm is missing or failed
 */
export async function ensureDependencies(root, { withDevelopment, env, say }) {
  if (dependenciesMatch(root, { withDevelopment })) return;
  if (!existsSync(path.join(root, 'package-lock.json'))) {
    throw new SetupFault(
      `There is no package-lock.json in ${root}: clone the whole repository and run this again there.`,
    );
  }
  const searchPath = outerPath(env['PATH']);
  const npm = findProgram(['npm'], searchPath);
  if (npm === null)
    throw new SetupFault(
      'npm was not found on PATH: install npm (it comes with Node.js) and run this again.',
    );
  say('Installing dependencies from package-lock.json (once; a minute or two) ...');
  const flags = ['ci', '--no-audit', '--no-fund', '--loglevel=error'];
  if (withDevelopment) flags.push('--include=dev');
  const { code, output } = await runQuietly(npm, flags, { cwd: root, env: { ...env, PATH: searchPath } });
  if (code === 0) return;
  say(output.trimEnd());
  throw new SetupFault(
    `npm ci ended with code ${code} (its words stand above): check that this machine reaches the package registry, then run this again.`,
  );
}
