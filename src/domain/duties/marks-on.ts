import type { LineState, Marks } from '../record/line-state.ts';
import { concerns, type Duty } from './duty.ts';

/** What was said about this very duty, out of all that was said about its kind. */
export function marksOn(line: LineState, duty: Duty): Marks {
  const said = line.marks[duty.kind] ?? {};
  return Object.fromEntries(Object.entries(said).filter(([, words]) => concerns(words, duty.dueAt))) as Marks;
}
