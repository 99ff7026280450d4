import os from 'node:os';
import { Worker } from 'node:worker_threads';
import { familyNames } from './families.ts';
import { added, type CellCount, type Measured, noCount } from './measure.ts';

/** Which strips are measured: of a seed, every nth of each kind from a place on. */
export interface Picked {
  seed: number;
  every: number;
  from: number;
}

/** Makes, reads and judges strips over worker threads. */
export async function measuredBy(picked: Picked): Promise<Measured> {
  const parts = Math.max(1, Math.min(os.availableParallelism(), 8));
  const all: Measured = { cells: {}, wrongs: {}, heldBack: {} };
  await Promise.all(
    Array.from({ length: parts }, async (_, part) => {
      const worker = new Worker(new URL('measure-worker.ts', import.meta.url), {
        workerData: { part, parts, ...picked },
      });
      const own = await new Promise<Measured>((resolve, reject) => {
        worker.once('message', resolve);
        worker.once('error', reject);
      });
      added(all, own);
    }),
  );
  return all;
}

const line = (cells: readonly (string | number)[]) => `| ${cells.join(' | ')} |`;
const head = (names: readonly string[]) => `${line(names)}\n${line(names.map(() => '---'))}`;
const percent = (part: number, of: number) => (of === 0 ? '–' : `${((100 * part) / of).toFixed(1)} %`);

function row(name: string, cell: CellCount): string {
  const { strips, right, unsure, refused, wrong, readable, readableRight } = cell;
  return line([
    name,
    strips,
    right,
    unsure,
    refused,
    wrong,
    `${percent(readableRight, readable)} of ${readable}`,
  ]);
}

const columns = [
  'strips',
  'right',
  'told as unsure',
  'refused',
  '**wrong and told plainly**',
  'right where readable',
];

/** Prints what was told of how many made strips: right, unsure, refused, or wrong and told plainly. */
export function printToldPlainly(say: (line?: string) => void, { cells, wrongs, heldBack }: Measured): void {
  const ofKind = (kind: string) => Object.entries(cells).filter(([name]) => name.startsWith(`${kind}: `));
  const all = noCount();
  for (const [, cell] of ofKind('family'))
    for (const key of Object.keys(all) as (keyof CellCount)[]) all[key] += cell[key];
  const before = percent(all.wasReadableRight, all.wasReadable);
  say(
    `${all.strips} made strips. By the limits of readable as they were before: ${before} of ${all.wasReadable}.`,
  );
  say();
  say(head(['kind of strip', ...columns]));
  for (const name of familyNames) say(row(name, cells[`family: ${name}`] ?? noCount()));
  say(row('**all**', all));
  for (const [kind, title] of [
    ['rate', 'rate, /min'],
    ['damping', 'damping'],
    ['no pulse', 'no pulse: what it is'],
  ] as const) {
    say();
    say(head([title, ...columns]));
    const own = ofKind(kind).toSorted(([a], [b]) => a.localeCompare(b, 'en', { numeric: true }));
    for (const [name, cell] of own) say(row(name.slice(kind.length + 2), cell));
  }
  say();
  for (const [title, counts] of [
    ['What was told wrongly:', wrongs],
    ['What held readable strips back:', heldBack],
  ] as const) {
    say(title);
    say();
    say(head(['kind of strip: what', 'times']));
    for (const [what, times] of Object.entries(counts).toSorted(([, a], [, b]) => b - a))
      say(line([what, times]));
    say();
  }
  say('### Beat by beat');
  say();
  say(head(['kind of strip', 'true beats', 'sensitivity', 'positive predictive value']));
  for (const name of familyNames) {
    const { found, missed, madeUp } = cells[`family: ${name}`] ?? noCount();
    if (found + missed > 0)
      say(line([name, found + missed, percent(found, found + missed), percent(found, found + madeUp)]));
  }
  say(
    line([
      '**all**',
      all.found + all.missed,
      percent(all.found, all.found + all.missed),
      percent(all.found, all.found + all.madeUp),
    ]),
  );
}
