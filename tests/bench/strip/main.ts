import fs from 'node:fs';
import { parseArgs } from 'node:util';
import { z } from 'zod';
import { added, type CellCount, type Measured, noCount } from './measure.ts';
import { measuredBy, printToldPlainly } from './told-plainly.ts';

const say = (line = '') => void process.stdout.write(`${line}\n`);

// Seeds 1 to 20, 2027, 4711, 90210, 60613, 77003, 31337 and 52501 were used while the reader was made or measured before; the page is made with one that was not.
const heldOutSeed = '86028';
const { values: asked } = parseArgs({
  options: {
    seed: { type: 'string', default: heldOutSeed },
    every: { type: 'string', default: '1' },
    /** "2/8": the second of eight parts of what is asked for; `save` keeps its counts, and `add` prints kept ones together. */
    shard: { type: 'string', default: '1/1' },
    save: { type: 'string' },
    add: { type: 'string' },
    told: { type: 'boolean', default: false },
  },
});

const count = Object.fromEntries(Object.keys(noCount()).map((key) => [key, z.number()]));
const kept = z.object({
  cells: z.record(
    z.string(),
    z.object(count).transform((one) => one as unknown as CellCount),
  ),
  wrongs: z.record(z.string(), z.number()),
  heldBack: z.record(z.string(), z.number()),
});

function keptOnes(files: string): Measured {
  const all: Measured = { cells: {}, wrongs: {}, heldBack: {} };
  for (const file of files.split(',')) added(all, kept.parse(JSON.parse(fs.readFileSync(file, 'utf8'))));
  return all;
}

const [part, parts] = z
  .tuple([z.coerce.number().int().positive(), z.coerce.number().int().positive()])
  .parse(asked.shard.split('/'));
const every = Number(asked.every);
const picked = { seed: Number(asked.seed), every: every * parts, from: every * (part - 1) };
const began = performance.now();
const measured = asked.add === undefined ? await measuredBy(picked) : keptOnes(asked.add);
if (asked.save !== undefined) fs.writeFileSync(asked.save, JSON.stringify(measured));
say('### What is told, and whether it is so');
say();
if (asked.add === undefined)
  say(`Seed ${asked.seed}; it took ${((performance.now() - began) / 60_000).toFixed(1)} min.`);
printToldPlainly(say, measured);
if (!asked.told && asked.add === undefined) {
  say();
  await import('./bias.ts');
}
