import { existsSync } from 'node:fs';
import path from 'node:path';
import { expect, it } from 'vitest';
import type { TestSpecification, Vitest } from 'vitest/node';
import { SlowestFirst, slowFiles } from '../support/slowest-first.ts';

const root = path.resolve(import.meta.dirname, '..', '..');

/** As much of vitest as its sequencer asks for. */
const vitest = {
  config: { root },
  cache: { getTestSpecificationResult: () => undefined },
} as unknown as Vitest;
const project = { name: '', config: { sequence: { groupOrder: 0 }, isolate: false } };

it('the slowest files are begun first, and each is one', async () => {
  expect(slowFiles.filter((file) => !existsSync(path.join(root, file)))).toEqual([]);
  const asked = ['tests/architecture/slow-files.test.ts', slowFiles[2], slowFiles[0], slowFiles[1]];
  const files = asked.map((file) => ({ moduleId: `${root}/${file}`, project }) as TestSpecification);
  const begun = (await new SlowestFirst(vitest).sort(files)).map(({ moduleId }) => moduleId);
  expect(begun).toEqual([...slowFiles.slice(0, 3), asked[0]].map((file) => `${root}/${file}`));
});
