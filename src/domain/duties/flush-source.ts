import { dueWithAway } from '../away/away.ts';
import { isCapped } from '../level/transducer.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { hourMs, minuteMs } from '../time.ts';
import { atShiftStart } from './at-shift-start.ts';
import { type Duty, duty } from './duty.ts';

/**
 * Flush source check: every shift in continuous mode, the pressure bag at 300 mmHg (Murphy et al., Anesthesiology
 * 2006;105:492) and the volume left. Changing the source or the mode looks at it too.
 */
export function sourceCheck(line: LineState, policy: WardPolicy): Duty | null {
  if (line.flushMode !== 'continuous') return null;
  const { sourceChecked, sourceChanged, transducerJoined } = line.last;
  const looks = [sourceChecked, sourceChanged, transducerJoined].map((look) => look?.at ?? 0);
  const seenAt = Math.max(line.flushModeSince, ...looks);
  return atShiftStart(line, policy, 'source', seenAt);
}

/**
 * When the source will be empty at its rate, ms since the epoch; null in manual mode or where volume or rate is not
 * known. `(volume − what cannot be given) (mL) / rate (mL/h)` counted from when the volume was recorded.
 *
 * Example: 250 mL at 3 mL/h lasts 83.3 h.
 */
export function sourceEmptyAt(line: LineState, policy: WardPolicy): number | null {
  const { source } = line;
  if (line.flushMode !== 'continuous' || source?.volumeMl === undefined || source.rateMlPerH === undefined)
    return null;
  const givenMl = Math.max(0, source.volumeMl - policy.sourceDeadMl);
  return source.asOf + (givenMl / source.rateMlPerH) * hourMs;
}

/** The source is changed `runOutMarginMin` before it runs out. */
export function sourceRunOut(line: LineState, policy: WardPolicy): Duty | null {
  const emptyAt = sourceEmptyAt(line, policy);
  if (emptyAt === null) return null;
  return duty(
    line,
    'runOut',
    'running out',
    Math.floor(emptyAt) - policy.runOutMarginMin * minuteMs,
    4 * hourMs,
  );
}

/** Transducer, tubing and flush device are changed together every 96 h: CDC 2011 guideline (O'Grady et al.). A capped line has none. */
export function transducerSet(line: LineState, policy: WardPolicy): Duty | null {
  if (isCapped(line)) return null;
  const dueBy = dueWithAway(line, policy, 'set', line.setSince + policy.setEveryH * hourMs);
  return duty(line, 'set', 'interval', dueBy, 12 * hourMs);
}
