import { accessSync, constants, statSync } from 'node:fs';
import path from 'node:path';

/** Where system programs live although a user's PATH may leave them out (Debian keeps /usr/sbin off it). */
export const alwaysSearched = ['/usr/local/bin', '/usr/bin', '/bin', '/usr/local/sbin', '/usr/sbin', '/sbin'];

/** @param {string} file */
function isRunnable(file) {
  try {
    accessSync(file, constants.X_OK);
    return statSync(file).isFile();
  } catch {
    return false;
  }
}

/**
 * The full path of the first of `names` that can be run, or null. Names are tried in order, each in every folder.
 * @param {readonly string[]} names
 * @param {string | undefined} searchPath as in the PATH variable
 * @param {readonly string[]} extraFolders searched after `searchPath`
 * @returns {string | null}
 */
export function findProgram(names, searchPath, extraFolders = alwaysSearched) {
  const folders = [...(searchPath ?? '').split(path.delimiter), ...extraFolders].filter(
    (folder) => folder !== '',
  );
  for (const name of names) {
    for (const folder of folders) {
      const file = path.join(folder, name);
      if (isRunnable(file)) return file;
    }
  }
  return null;
}
