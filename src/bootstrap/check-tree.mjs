// `npm run check`: every check runs, each is reported, and one failure fails the whole. Runs on Node 24.
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { wantedNodeMajor } from './node-runtime.mjs';
import { runQuietly } from './run-program.mjs';

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '..', '..');

/** @param {readonly string[]} words */
const onNode = (words) => () => runQuietly(process.execPath, words, { cwd: root, env: process.env });

/** @type {readonly (readonly [name: string, run: () => Promise<{ code: number, output: string }>])[]} */
const checks = [
  [
    `runs on Node ${wantedNodeMajor}`,
    async () => {
      const isWanted = Number(process.versions.node.split('.')[0]) === wantedNodeMajor;
      return {
        code: isWanted ? 0 : 1,
        output: `This is Node ${process.versions.node}; start it by "npm run check".\n`,
      };
    },
  ],
  // What was found right is kept: only what a change can reach is looked at again.
  [
    'types (tsc)',
    onNode([
      'node_modules/typescript/bin/tsc',
      '--noEmit',
      '--incremental',
      '--tsBuildInfoFile',
      'node_modules/.cache/types.tsbuildinfo',
    ]),
  ],
  // Those of the page run in a browser, and know no Node.
  [
    'types of the practice page (tsc)',
    onNode(['node_modules/typescript/bin/tsc', '-p', 'src/practice/page']),
  ],
  [
    'lint (oxlint)',
    onNode(['node_modules/oxlint/bin/oxlint', '--type-aware', '--deny-warnings', 'src', 'tests']),
  ],
  ['format (biome)', onNode(['node_modules/@biomejs/biome/bin/biome', 'check', '--error-on-warnings'])],
  ['nothing unused (knip)', onNode(['node_modules/knip/bin/knip.js'])],
  // Alone: what else is under tests/architecture needs Redis, which checking does not.
  [
    'import arrows (vitest)',
    onNode(['node_modules/vitest/vitest.mjs', 'run', 'tests/architecture/import-arrows.test.ts']),
  ],
];

let failed = 0;
for (const [name, run] of checks) {
  const { code, output } = await run();
  if (code === 0) {
    process.stdout.write(`ok      ${name}\n`);
    continue;
  }
  failed += 1;
  process.stdout.write(`FAILED  ${name}\n${output.trimEnd().replaceAll(/^/gm, '        ')}\n`);
}
process.stdout.write(`check: ${checks.length - failed} passed, ${failed} failed\n`);
process.exitCode = failed === 0 ? 0 : 1;
