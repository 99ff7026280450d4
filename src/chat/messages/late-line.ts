import type { WardView } from '../../app/ports.ts';
import { marksOn } from '../../domain/duties/marks-on.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { nurseFor } from '../../domain/ward/on-call.ts';
import { alarmSeen } from '../../wording/care/finding-words.ts';
import type { Heard, LateLine } from '../../wording/care/lock-screen.ts';
import type { Names } from '../../wording/names.ts';
import type { OpenItem } from './asked-items.ts';

/** What is open of one line, worst first, as a lock screen shows it: with who knows of the worst. */
export async function lateLineOf(
  line: LineState,
  open: readonly OpenItem[],
  view: WardView,
  names: Names,
): Promise<LateLine> {
  const [worst] = open;
  return {
    line,
    duties: open.map(({ asked, status }) => ({ kind: asked.kind, dueAt: status.duty.dueAt })),
    heard: worst ? await heardOf(worst, view, names) : { who: null, at: null, did: 'asked' },
  };
}

/** Who knows of a duty: whoever saw or left it, could not do it, or was asked; else whom the line is with. */
async function heardOf({ line, status }: OpenItem, { ward }: WardView, names: Names): Promise<Heard> {
  const { duty } = status;
  const seen = duty.kind === 'finding' ? alarmSeen(line, ward.policy) : null;
  if (seen) return { who: await names.of(seen.by), at: seen.at, did: 'saw it' };
  if (duty.kind === 'fault' && line.faultLeft)
    return { who: await names.of(line.faultLeft.by), at: line.faultLeft.at, did: 'left it' };
  const { cannot, nurse, nudged } = marksOn(line, duty);
  if (cannot) return { who: await names.of(cannot.by), at: cannot.at, did: 'could not' };
  if (nurse?.user !== undefined) return { who: await names.of(nurse.user), at: nurse.at, did: 'asked' };
  if (nudged) return { who: null, at: nudged.at, did: 'asked' };
  return { who: await names.of(nurseFor(ward, line, duty.dueAt).user), at: null, did: 'has it' };
}
