import { readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { alwaysSearched, findProgram } from './find-program.mjs';
import { outerPath } from './outer-path.mjs';
import { runQuietly } from './run-program.mjs';
import { SetupFault } from './setup-fault.mjs';

/**
 * A program that comes from the operating system's packages.
 * @typedef {{ purpose: string, names: readonly string[], debianPackage: string, elsewhere: string }} SystemProgram
 */

/** @type {SystemProgram} */
export const redisServer = {
  purpose: 'Redis keeps the record',
  names: ['redis-server', 'valkey-server'],
  debianPackage: 'redis-server',
  elsewhere:
    'install Redis 6.2 or newer or Valkey (redis-server or valkey-server must be on PATH), or set REDIS_URL',
};

/** @type {SystemProgram} */
export const chromium = {
  purpose: 'the tests look at the practice ward in Chromium',
  names: ['chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable'],
  debianPackage: 'chromium',
  elsewhere: 'install Chromium (chromium must be on PATH), or set CHROMIUM_PATH to it',
};

/** Package lists older than this are fetched again before installing: the servers keep only recent packages. */
const listsFreshMs = 24 * 60 * 60 * 1000;

/**
 * @param {string} listsFolder
 * @param {number} nowMs
 */
function listsAreFresh(listsFolder, nowMs) {
  try {
    const packageLists = readdirSync(listsFolder).filter((name) => name.includes('_Packages'));
    if (packageLists.length === 0) return false;
    const newestMs = Math.max(...packageLists.map((name) => statSync(path.join(listsFolder, name)).mtimeMs));
    const checkedMs = Math.max(newestMs, statSync(listsFolder).mtimeMs);
    return nowMs - checkedMs < listsFreshMs;
  } catch {
    return false;
  }
}

/**
 * Debian's own switch against starting a service that was just installed: we never use the system's Redis.
 * @param {string} policyFile
 * @returns {() => void} takes the switch away again, if it was ours
 */
function holdServicesBack(policyFile) {
  try {
    writeFileSync(policyFile, '#!/bin/sh\nexit 101\n', { mode: 0o755, flag: 'wx' });
  } catch {
    return () => {};
  }
  return () => {
    try {
      if (readFileSync(policyFile, 'utf8') === '#!/bin/sh\nexit 101\n') rmSync(policyFile);
    } catch {
      // Somebody else took it away: nothing left to undo.
    }
  };
}

/**
 * Finds a system program, installing its Debian package when we may.
 * @param {SystemProgram} program
 * @param {{ env: NodeJS.ProcessEnv, say: (line: string) => void, machine?: Partial<Machine> }} options
 * @returns {Promise<string>} full path
 * @throws {SetupFault} it is missing and we cannot install it
 *
 * @typedef {{ userId: number | undefined, extraFolders: readonly string[] | undefined, listsFolder: string, policyFile: string }} Machine
 */
export async function ensureSystemProgram(program, { env, say, machine = {} }) {
  const {
    userId = process.getuid?.(),
    extraFolders,
    listsFolder = '/var/lib/apt/lists',
    policyFile = '/usr/sbin/policy-rc.d',
  } = machine;
  const searchPath = outerPath(env['PATH']);
  const found = findProgram(program.names, searchPath, extraFolders);
  if (found !== null) return found;

  const why = `Neither ${program.names.slice(0, 2).join(' nor ')} was found on this machine (${program.purpose})`;
  const aptGet = findProgram(['apt-get'], searchPath, extraFolders);
  if (aptGet === null) throw new SetupFault(`${why}: ${program.elsewhere}, then run this again.`);
  if (userId !== 0) {
    throw new SetupFault(
      `${why}: run "sudo apt-get install -y ${program.debianPackage}" and then this again, or ${program.elsewhere.split(', or ')[1]}.`,
    );
  }

  say(`Installing ${program.debianPackage} from the system's packages (once) ...`);
  const aptEnv = {
    ...env,
    PATH: [searchPath, ...alwaysSearched].join(path.delimiter),
    DEBIAN_FRONTEND: 'noninteractive',
  };
  /** @param {readonly string[]} words */
  const apt = (words) => runQuietly(aptGet, words, { cwd: '/', env: aptEnv });
  const install = ['install', '-y', '--no-install-recommends', program.debianPackage];
  const letServicesGo = holdServicesBack(policyFile);
  try {
    let output = '';
    const fresh = listsAreFresh(listsFolder, Date.now());
    if (!fresh) output += (await apt(['update'])).output;
    let attempt = await apt(install);
    output += attempt.output;
    if (attempt.code !== 0 && fresh) {
      output += (await apt(['update'])).output;
      attempt = await apt(install);
      output += attempt.output;
    }
    const installed = findProgram(program.names, searchPath, extraFolders);
    if (installed !== null) return installed;
    say(output.trimEnd());
    throw new SetupFault(
      `apt-get could not install ${program.debianPackage} (its words stand above): ${program.elsewhere}, then run this again.`,
    );
  } finally {
    letServicesGo();
  }
}
