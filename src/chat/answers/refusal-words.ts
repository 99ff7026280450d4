import type { Refusal } from '../../domain/accept/refusal.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import type { Names } from '../names.ts';
import { clockText, lineWords } from '../wording/line-words.ts';

/** Why a draft entry was not taken, and what to do instead: for the one person who recorded it. */
export async function refusalWords(
  refusal: Refusal,
  line: LineState | null,
  ward: WardState,
  names: Names,
  now: number,
): Promise<string> {
  const clock = (atMs: number) => clockText(ward.policy, atMs, now);
  const which = line ? lineWords(line) : 'This line';
  switch (refusal.because) {
    case 'in the future':
      return `Not recorded: ${clock(refusal.at)} is still to come; it is ${clock(refusal.now)} now. Give the time it happened.`;
    case 'too long ago':
      return `Not recorded: ${clock(refusal.at)} is too long ago. The earliest you can record is ${clock(refusal.earliest)}.`;
    case 'before placing':
      return `Not recorded: ${clock(refusal.at)} is before the line was placed (${clock(refusal.placedAt)}). Give a later time, or put the placing right first with /artline amend.`;
    case 'line out':
      return `Not recorded: ${which} was taken out ${clock(refusal.removedAt)} by ${await names.of(refusal.by)}. You can still record what happened before that; add the time, for example “at ${clock(refusal.removedAt)}”.`;
    case 'no transducer':
      return `Not recorded: ${which} is capped. Without a transducer there is no trace and nothing to zero, level, test or read, and it is flushed by hand. Connect it to a transducer first: /artline transducer ${line ? line.patient.name : ''} joined.`;
    case 'not away':
      return `Not recorded: ${which} is on the ward. When the patient leaves: /artline moved ${line ? line.patient.name : ''} to theatre with @name.`;
    case 'line still in':
      return `Not recorded: ${which} is still in. Use /artline check for a line that is in, or /artline remove first.`;
    case 'clinician only':
      return 'Not recorded: only the clinician on call, or a clinician named in the ward policy, can decide this. /artline oncall shows who is on call.';
    case 'decided for too long':
      return `Not recorded: a decision holds for 72 h at most, here until ${clock(refusal.latest)}. Choose an earlier end; you’ll be asked again then.`;
    case 'ends too soon':
      return `Not recorded: ${clock(refusal.until)} has already passed. Choose an end that’s still to come.`;
    case 'no targets':
      return `Not recorded: ${which} has no targets now. /artline targets sets them.`;
    case 'recorded anew':
      return `Not recorded: ${which} has changed since then. Decide from the newest message.`;
    case 'cannot be put off':
      return 'Not put off: a dwell limit can’t be put off. Take the line out, or ask the clinician on call to decide.';
    case 'put off once already':
      return `Not put off: it’s been put off once already, until ${clock(refusal.until)}. Do it, or press Cannot to tell the clinician on call.`;
    case 'claimed already':
      return `${await names.of(refusal.by)} already has it, until ${clock(refusal.until)}. Nothing for you to do.`;
    case 'mode as before':
      return `Not recorded: ${which} is already flushed ${refusal.mode === 'manual' ? 'by hand' : 'continuously'}.`;
    case 'diastolic above systolic':
      return 'Not recorded: the diastolic is above the systolic. Write systolic/diastolic, for example 118/64 mmHg.';
    case 'mean outside':
      return 'Not recorded: the mean must be between diastolic and systolic. Check the three numbers.';
    case 'no such entry':
      return `Not amended: there is no entry ${refusal.target} on this line. /artline amend lists what can be put right.`;
    case 'registered in error':
      return line
        ? inErrorWords(refusal, line, ward, names, now)
        : 'Not recorded: that line was registered in error.';
    case 'recorded since':
      return `Not taken back: ${refusal.count === 1 ? 'an entry has' : `${refusal.count} entries have`} been recorded on ${which} since, the latest by ${await names.of(refusal.by)} at ${clock(refusal.at)}. To strike the line all the same, press “Put something right…”, then “Registered in error…”.`;
    case 'out twice':
      return `Not amended: a line comes out once, and ${which} was taken out ${clock(refusal.removedAt)} by ${await names.of(refusal.by)}. To bring the other removal back, strike this one first.`;
    case 'written by the bot':
      return 'Not amended: that entry records a message the bot sent, so it stays.';
    case 'no open fault':
      return `Not recorded: ${which} has no open fault. Use /artline fault to open one.`;
    case 'step not asked':
      return `Not recorded: somebody has answered that question already. Carry on with the one shown now; if the patient looks bad, call the clinician.`;
    case 'not a shift start':
      return `Not recorded: the next shift doesn’t start ${clock(refusal.at)}. Open the form again; it shows the next shift.`;
    case 'values do not fit':
      return `Not amended: these values do not fit: ${refusal.problems.join(', ')}. Check the number and its unit.`;
  }
}

/** Why nothing can be recorded of a line that was registered in error, and what to do if there is one after all. */
export async function inErrorWords(
  { at, by }: { at: number; by: string },
  line: LineState,
  { policy }: WardState,
  names: Names,
  now: number,
): Promise<string> {
  return `Not recorded: ${lineWords(line)} was registered in error, ${await names.of(by)} says (${clockText(policy, at, now)}). If it does exist, register it again.`;
}
