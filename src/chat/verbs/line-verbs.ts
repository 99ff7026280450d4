import type { LineState } from '../../domain/record/line-state.ts';
import { check } from './check.ts';
import { fault } from './fault.ts';
import { flush } from './flush.ts';
import { level } from './level.ts';
import { moved } from './moved.ts';
import { pulse } from './pulse.ts';
import { reading } from './reading.ts';
import { redress } from './redress.ts';
import { remove } from './remove.ts';
import { sample } from './sample.ts';
import { source } from './source.ts';
import { test } from './test.ts';
import { transducer } from './transducer.ts';
import type { LineVerb } from './verb.ts';
import { zero } from './zero.ts';

/** Every verb that records something of one line, commonest at the bedside first. */
export const lineVerbs: readonly LineVerb[] = [
  flush,
  check,
  zero,
  level,
  test,
  reading,
  fault,
  sample,
  redress,
  source,
  moved,
  transducer,
  remove,
  pulse,
];

/** Verbs that speak of a pressure: a capped line has none to zero, level, test or read. */
export const pressureVerbs: ReadonlySet<string> = new Set(['zero', 'level', 'test', 'reading']);

/** The verb of this name; undefined when it is none about a line. */
export function lineVerb(verb: string): LineVerb | undefined {
  return lineVerbs.find((one) => one.verb === verb);
}

/** Whether a verb can be said of a line as it stands: most only while it is in, some only once it is out. */
export function fitsVerb(line: LineState, spec: LineVerb | undefined): boolean {
  if (!spec) return true;
  if (spec.when === 'both') return line.removed === null || line.finding !== null;
  return (line.removed !== null) === (spec.when === 'out');
}
