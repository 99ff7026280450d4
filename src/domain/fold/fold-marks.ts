import type { EntryOf } from '../record/entry.ts';
import type { LineState, Marks, Notified } from '../record/line-state.ts';
import { minuteMs } from '../time.ts';

/** Shifts for which is remembered whom the line was given to: the last, the running and the coming one. */
const plannedShiftsKept = 3;

/** What changes when the line is given to a nurse. */
export function assignedNow(
  before: LineState,
  { at, told: notified, body }: EntryOf<'assigned'>,
): Partial<LineState> {
  const { nurse, from } = body;
  const knownSince = Math.max(at, notified);
  if (from === undefined) return { nurse, nurseSince: knownSince };
  return {
    plannedNurses: [
      ...before.plannedNurses.filter((planned) => planned.from !== from),
      { nurse, from, told: knownSince },
    ]
      .toSorted((a, b) => a.from - b.from)
      .slice(-plannedShiftsKept),
  };
}

/** What a note changes; one that says why a duty can't be done stands with it. */
export function notedNow(
  before: LineState,
  { at, by, body }: EntryOf<'noted'>,
  entry: number,
): Partial<LineState> {
  const { text, cannot } = body;
  return {
    notes: [...before.notes, { text, at, by }].slice(-5),
    ...(cannot ? mark(before, [cannot], 'cannot', { at, entry, by, reason: text }) : {}),
  };
}

/** What the bot said of duties. */
export function remindedNow(
  before: LineState,
  entry: EntryOf<'nudged'> | EntryOf<'escalated'>,
  number: number,
): Partial<LineState> {
  const words = { at: entry.at, entry: number };
  if (entry.kind === 'nudged') return mark(before, entry.body.duties, 'nudged', words);
  return { marks: escalatedMarks(before, entry.body, words) };
}

/**
 * A message that comes sooner than this after one that counts is no second one, ms: another finding rang, and nobody had time to
 * answer. The shortest that a ward may set for repeats; common practice, no source.
 */
const answerableMs = 5 * minuteMs;

/**
 * What a reader was told; how often in a row is counted for one duty and one person. What was only added to a message that stood
 * does not count, nor does a message that came right after another.
 */
function escalatedMarks(
  state: Pick<LineState, 'marks'>,
  { duties, to, user, joins }: EntryOf<'escalated'>['body'],
  words: { at: number; entry: number },
): LineState['marks'] {
  return duties.reduce((marks, [kind, dueAt]) => {
    const before = marks[kind]?.[to];
    const again = before !== undefined && before.dueAt === dueAt && before.user === user;
    const last = again ? before.countedAt : undefined;
    const counts = joins === undefined && (last === undefined || words.at - last >= answerableMs);
    const times = (again ? (before.times ?? 1) : 0) + (counts ? 1 : 0);
    const countedAt = counts ? words.at : last;
    const notified: Omit<Notified, 'dueAt'> = {
      ...words,
      times,
      ...(countedAt === undefined ? {} : { countedAt }),
      ...(user === undefined ? {} : { user }),
      ...(joins === undefined ? {} : { joins }),
    };
    return mark({ marks }, [[kind, dueAt]], to, notified).marks;
  }, state.marks);
}

/** What "I have it" and "Later" change. */
export function heldOffNow(
  before: LineState,
  { at, by, kind, body }: EntryOf<'claimed'> | EntryOf<'snoozed'>,
  number: number,
): Partial<LineState> {
  return mark(before, body.duties, kind, { at, entry: number, by, until: body.until });
}

const causeOfDuty = {
  zero: 'zeroCause',
  test: 'testCause',
  flush: 'flushCause',
  site: 'siteCause',
  redress: 'redressCause',
} as const;

/** What changes when a duty is let go until a time. */
export function waivedNow(
  before: LineState,
  { at, by, body }: EntryOf<'waived'>,
  number: number,
): Partial<LineState> {
  const { duty, dueAt, reason, until } = body;
  const marked = mark(before, [[duty, dueAt]], 'waived', { at, entry: number, by, reason, until });
  if (!(duty in causeOfDuty)) return marked;
  // What made it due waits until the waiver ends; a new cause before then counts at once.
  const key = causeOfDuty[duty as keyof typeof causeOfDuty];
  const waiting = before[key];
  return waiting
    ? { ...marked, [key]: { ...waiting, at: Math.max(waiting.at, until), entry: number } }
    : marked;
}

function mark<K extends keyof Marks>(
  state: Pick<LineState, 'marks'>,
  duties: readonly (readonly [EntryOf<'waived'>['body']['duty'], number])[],
  name: K,
  said: Omit<NonNullable<Marks[K]>, 'dueAt'>,
): Pick<LineState, 'marks'> {
  const marks = { ...state.marks };
  for (const [kind, dueAt] of duties) marks[kind] = { ...marks[kind], [name]: { dueAt, ...said } };
  return { marks };
}
