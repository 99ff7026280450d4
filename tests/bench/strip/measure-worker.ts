import { parentPort, workerData } from 'node:worker_threads';
import { z } from 'zod';
import { families, familyNames } from './families.ts';
import { type Measured, measureOne } from './measure.ts';

const { part, parts, seed, every, from } = z
  .object({ part: z.number(), parts: z.number(), seed: z.number(), every: z.number(), from: z.number() })
  .parse(workerData);
const measured: Measured = { cells: {}, wrongs: {}, heldBack: {} };
let n = 0;
for (const family of familyNames) {
  for (let index = from; index < families[family]; index += every) {
    if (n % parts === part) measureOne(measured, family, index, seed);
    n += 1;
  }
}
parentPort?.postMessage(measured);
