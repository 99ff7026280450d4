import path from 'node:path';

/**
 * PATH without any `node_modules/.bin`. npm puts that folder first, and `npm ci` deletes it while it runs:
 * the programs we start to repair it must not be looked up in it.
 * @param {string | undefined} searchPath
 * @returns {string}
 */
export function outerPath(searchPath) {
  return (searchPath ?? '')
    .split(path.delimiter)
    .filter((folder) => folder !== '' && !folder.endsWith(path.join('node_modules', '.bin')))
    .join(path.delimiter);
}
