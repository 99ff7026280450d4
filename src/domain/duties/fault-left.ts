import type { LineState } from '../record/line-state.ts';
import { type Duty, duty } from './duty.ts';

/**
 * A fault closed without being resolved, from the moment that was recorded: the clinician's to see. It is owed until that
 * fault is closed resolved, the line comes out, or a clinician lets it go with a reason and an end; one left anew is told anew.
 * Common practice, no source.
 */
export function faultLeft(line: LineState): Duty | null {
  if (line.faultLeft === null) return null;
  const { told, entry } = line.faultLeft;
  return duty(line, 'fault', 'fault', told, 0, entry);
}
