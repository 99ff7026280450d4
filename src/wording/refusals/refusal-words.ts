import type { Refusal } from '../../domain/accept/refusal.ts';
import { type ByTag, byTag } from '../../domain/by-kind.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { draftWords } from '../care/entry-words.ts';
import { clockText, lineWords } from '../care/line-words.ts';
import type { Names } from '../names.ts';

/** What a refusal is put into words with. `which`: the line, in words. */
interface Asked {
  line: LineState | null;
  which: string;
  clock: (atMs: number) => string;
  ward: WardState;
  names: Names;
  now: number;
}

type Texts<Because extends Refusal['because']> = ByTag<
  'because',
  Extract<Refusal, { because: Because }>,
  [Asked],
  string | Promise<string>
>;

const times: Texts<
  | 'in the future'
  | 'too long ago'
  | 'before placing'
  | 'decided for too long'
  | 'ends too soon'
  | 'not a shift start'
> = {
  'in the future': ({ at, now }, { clock }) =>
    `Not recorded: ${clock(at)} is still to come; it is ${clock(now)} now. Give the time it happened.`,
  'too long ago': ({ at, earliest }, { clock }) =>
    `Not recorded: ${clock(at)} is too long ago. The earliest you can record is ${clock(earliest)}.`,
  'before placing': ({ at, placedAt }, { clock }) =>
    `Not recorded: ${clock(at)} is before the line was placed (${clock(placedAt)}). Give a later time, or put the placing right first with /artline amend.`,
  'decided for too long': ({ latest }, { clock }) =>
    `Not recorded: a decision holds for 72 h at most, here until ${clock(latest)}. Choose an earlier end; you’ll be asked again then.`,
  'ends too soon': ({ until }, { clock }) =>
    `Not recorded: ${clock(until)} has already passed. Choose an end that’s still to come.`,
  'not a shift start': ({ at }, { clock }) =>
    `Not recorded: the next shift doesn’t start ${clock(at)}. Open the form again; it shows the next shift.`,
};

const whatTheLineIs: Texts<
  | 'line out'
  | 'line still in'
  | 'seen to since'
  | 'no transducer'
  | 'not away'
  | 'no targets'
  | 'recorded anew'
  | 'mode as before'
  | 'no open fault'
> = {
  'line out': async ({ removedAt, by }, { which, clock, names }) =>
    `Not recorded: ${which} was taken out ${clock(removedAt)} by ${await names.of(by)}. You can still record what happened before that; add the time, for example “at ${clock(removedAt)}”.`,
  'line still in': (_, { which }) =>
    `Not recorded: ${which} is still in. Use /artline check for a line that is in, or /artline remove first.`,
  'seen to since': async ({ entry }, { which, line, clock, names }) =>
    `Not recorded: ${which} was still in at ${clock(entry.at)}, when ${await names.of(entry.by)} recorded “${line ? draftWords(entry, line) : entry.kind}”. Give a time from ${clock(entry.at)} on, or put that right first: /artline amend ${line ? line.patient.name : ''}.`,
  'no transducer': (_, { which, line }) =>
    `Not recorded: ${which} is capped. Without a transducer there is no trace and nothing to zero, level, test or read, and it is flushed by hand. Connect it to a transducer first: /artline transducer ${line ? line.patient.name : ''} joined.`,
  'not away': (_, { which, line }) =>
    `Not recorded: ${which} is on the ward. When the patient leaves: /artline moved ${line ? line.patient.name : ''} to theatre with @name.`,
  'no targets': (_, { which }) => `Not recorded: ${which} has no targets now. /artline targets sets them.`,
  'recorded anew': (_, { which }) =>
    `Not recorded: ${which} has changed since then. Decide from the newest message.`,
  'mode as before': ({ mode }, { which }) =>
    `Not recorded: ${which} is already flushed ${mode === 'manual' ? 'by hand' : 'continuously'}.`,
  'no open fault': (_, { which }) =>
    `Not recorded: ${which} has no open fault. Use /artline fault to open one.`,
};

const amendments: Texts<
  'no such entry' | 'recorded since' | 'out twice' | 'written by the bot' | 'values do not fit'
> = {
  'no such entry': ({ target }) =>
    `Not amended: there is no entry ${target} on this line. /artline amend lists what can be put right.`,
  'recorded since': async ({ count, at, by }, { which, clock, names }) =>
    `Not taken back: ${count === 1 ? 'an entry has' : `${count} entries have`} been recorded on ${which} since, the latest by ${await names.of(by)} at ${clock(at)}. To strike the line all the same, press “Put something right…”, then “Registered in error…”.`,
  'out twice': async ({ removedAt, by }, { which, clock, names }) =>
    `Not amended: a line comes out once, and ${which} was taken out ${clock(removedAt)} by ${await names.of(by)}. To bring the other removal back, strike this one first.`,
  'written by the bot': () => 'Not amended: that entry records a message the bot sent, so it stays.',
  'values do not fit': ({ problems }) =>
    `Not amended: these values do not fit: ${problems.join(', ')}. Check the number and its unit.`,
};

const texts: ByTag<'because', Refusal, [Asked], string | Promise<string>> = {
  ...times,
  ...whatTheLineIs,
  ...amendments,
  'registered in error': (refusal, { line, ward, names, now }) =>
    line ? inErrorWords(refusal, line, ward, names, now) : 'Not recorded: that line was registered in error.',
  'clinician only': () =>
    'Not recorded: only the clinician on call, or a clinician named in the ward policy, can decide this. /artline oncall shows who is on call.',
  'cannot be put off': () =>
    'Not put off: a dwell limit can’t be put off. Take the line out, or ask the clinician on call to decide.',
  'put off once already': ({ until }, { clock }) =>
    `Not put off: it’s been put off once already, until ${clock(until)}. Do it, or press Cannot to tell the clinician on call.`,
  'claimed already': async ({ by, until }, { clock, names }) =>
    `${await names.of(by)} already has it, until ${clock(until)}. Nothing for you to do.`,
  'step not asked': () =>
    'Not recorded: somebody has answered that question already. Carry on with the one shown now; if the patient looks bad, call the clinician.',
  'diastolic above systolic': () =>
    'Not recorded: the diastolic is above the systolic. Write systolic/diastolic, for example 118/64 mmHg.',
  'mean outside': () =>
    'Not recorded: the mean must be between diastolic and systolic. Check the three numbers.',
};

/** Why a draft entry was not taken, and what to do instead: for the one person who recorded it. */
export async function refusalWords(
  refusal: Refusal,
  line: LineState | null,
  ward: WardState,
  names: Names,
  now: number,
): Promise<string> {
  const which = line ? lineWords(line) : 'This line';
  const clock = (atMs: number) => clockText(ward.policy, atMs, now);
  return byTag('because', texts, refusal, {
    line,
    which,
    clock,
    ward,
    names,
    now,
  });
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
