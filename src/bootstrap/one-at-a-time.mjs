import { createHash } from 'node:crypto';
import { mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import os from 'node:os';
import path from 'node:path';

/** @param {number} processId */
function isAlive(processId) {
  try {
    process.kill(processId, 0);
    return true;
  } catch (error) {
    return /** @type {NodeJS.ErrnoException} */ (error).code === 'EPERM';
  }
}

/** @param {string} folder */
function holderOf(folder) {
  try {
    return Number(readFileSync(path.join(folder, 'pid'), 'utf8'));
  } catch {
    return null;
  }
}

/**
 * Runs `work` while no other process does the same for this repository: two `npm ci` at once would wreck node_modules.
 * A holder that died is passed over.
 * @template T
 * @param {string} root folder of package.json
 * @param {{ say: (line: string) => void, temporaryFolder?: string }} options
 * @param {() => Promise<T>} work
 * @returns {Promise<T>}
 */
export async function oneAtATime(root, { say, temporaryFolder = os.tmpdir() }, work) {
  const mark = createHash('sha256').update(root).digest('hex').slice(0, 16);
  const folder = path.join(temporaryFolder, `dicrotic-setup-${mark}`);
  let saidWaiting = false;
  let withoutHolder = 0;
  for (;;) {
    try {
      mkdirSync(folder, { mode: 0o700 });
      break;
    } catch (error) {
      if (/** @type {NodeJS.ErrnoException} */ (error).code !== 'EEXIST') throw error;
    }
    const holder = holderOf(folder);
    withoutHolder = holder === null ? withoutHolder + 1 : 0;
    if ((holder !== null && !isAlive(holder)) || withoutHolder > 10) {
      rmSync(folder, { recursive: true, force: true });
      continue;
    }
    if (!saidWaiting) {
      say('Another command is setting this repository up; waiting for it ...');
      saidWaiting = true;
    }
    await new Promise((resolve) => setTimeout(resolve, 300));
  }
  try {
    writeFileSync(path.join(folder, 'pid'), String(process.pid));
    return await work();
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
