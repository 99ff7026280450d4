import { readStrip } from '../../../src/domain/strip/strip-findings.ts';
import { beatCount } from './beat-matching.ts';
import { drawnStrip, type Family } from './families.ts';
import { judged } from './judging.ts';

/** What became of the strips of one cell. */
export interface CellCount {
  strips: number;
  right: number;
  unsure: number;
  refused: number;
  wrong: number;
  readable: number;
  readableRight: number;
  /** By the limits as they were before. */
  wasReadable: number;
  wasReadableRight: number;
  found: number;
  missed: number;
  madeUp: number;
}

export const noCount = (): CellCount => ({
  strips: 0,
  right: 0,
  unsure: 0,
  refused: 0,
  wrong: 0,
  readable: 0,
  readableRight: 0,
  wasReadable: 0,
  wasReadableRight: 0,
  found: 0,
  missed: 0,
  madeUp: 0,
});

/** Counts by cell ("family: …", "rate: …", "damping: …", "no pulse: …"), and what was told wrongly, by cell and kind. */
export interface Measured {
  cells: Record<string, CellCount>;
  wrongs: Record<string, number>;
  /** What held readable strips back, by family and fault. */
  heldBack: Record<string, number>;
}

/** Adds one measurement to another. */
export function added(into: Measured, from: Measured): void {
  for (const [name, count] of Object.entries(from.cells)) {
    const own = (into.cells[name] ??= noCount());
    for (const key of Object.keys(own) as (keyof CellCount)[]) own[key] += count[key];
  }
  for (const kind of ['wrongs', 'heldBack'] as const)
    for (const [what, times] of Object.entries(from[kind]))
      into[kind][what] = (into[kind][what] ?? 0) + times;
}

/** Makes, reads and judges one strip, and counts it in its cells. */
export function measureOne(into: Measured, family: Family, index: number, seed: number): void {
  const drawn = drawnStrip(family, index, seed);
  const strip = drawn.is === 'pulse' ? drawn.made.strip : drawn.strip;
  const { findings, beats } = readStrip(strip);
  const { answer, wrongs, isReadable, wasReadable, truth } = judged(drawn, findings);
  const cells = [`family: ${family}`];
  if (drawn.is === 'no pulse') cells.push(`no pulse: ${drawn.kind}`);
  else {
    const { ratePerMin, line } = drawn.made.options;
    const round = ratePerMin < 100 ? 10 : 20;
    cells.push(`rate: ${Math.round(ratePerMin / round) * round}`, `damping: ${line.damping}`);
  }
  const matched =
    drawn.is === 'pulse' && truth !== null && findings.beats !== null
      ? beatCount(drawn.made, truth, beats)
      : { found: 0, missed: 0, madeUp: 0 };
  for (const name of cells) {
    const own = (into.cells[name] ??= noCount());
    own.strips += 1;
    own[answer] += 1;
    if (isReadable) own.readable += 1;
    if (isReadable && answer === 'right') own.readableRight += 1;
    if (wasReadable) own.wasReadable += 1;
    if (wasReadable && answer === 'right') own.wasReadableRight += 1;
    own.found += matched.found;
    own.missed += matched.missed;
    own.madeUp += matched.madeUp;
  }
  if (isReadable && (answer === 'unsure' || answer === 'refused')) {
    const key = `${family}: ${findings.faults.map(({ fault }) => fault).join(' + ')}`;
    into.heldBack[key] = (into.heldBack[key] ?? 0) + 1;
  }
  for (const what of wrongs) {
    const key = `${family}: ${what}`;
    into.wrongs[key] = (into.wrongs[key] ?? 0) + 1;
  }
}
