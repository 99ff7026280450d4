import { assignLines, type ShareOut } from '../../app/assign-lines.ts';
import type { WardView } from '../../app/ports.ts';
import type { Outcome } from '../../app/record-on-lines.ts';
import { owedLines } from '../../domain/duties/duties-of-line.ts';
import type { EntryHead } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { nextShiftStart, shiftAt } from '../../domain/shifts/shift-calendar.ts';
import { coverOf, standInFor } from '../../domain/ward/cover.ts';
import { soonMs } from '../../domain/ward/handed-over-shift.ts';
import { nurseFor } from '../../domain/ward/on-call.ts';
import { listed } from '../../wording/care/duty-words.ts';
import { clockText, lineWords } from '../../wording/care/line-words.ts';
import { whoWords } from '../../wording/care/who-words.ts';
import { refusalWords } from '../../wording/refusals/refusal-words.ts';
import { withTakeBack } from '../answers/take-back.ts';
import { type Bot, type Caller, openView } from '../bot.ts';
import { type FormErrors } from '../form.ts';
import { assignForm } from '../forms/assign-form.ts';
import { isOnWard } from '../membership.ts';
import { namedFault } from '../named-person.ts';
import { assignFromWords } from '../typed/assign-words.ts';
import { findLine } from '../typed/find-line.ts';

/** Lines named in an answer; more are counted. */
const mostNamed = 20;

const nothingToShare = 'There is no arterial line on this ward, so there is nothing to share out.';

/** Gives lines to a nurse as typed, or opens the form. */
export async function assignCommand(bot: Bot, caller: Caller, rest: string): Promise<void> {
  const read = assignFromWords(rest, bot.command);
  if (read.is === 'wrong') return caller.say(`Nothing was changed. ${read.message}`);
  if (read.is === 'form' && read.patient === '') return openAssign(bot, caller);
  const view = await bot.deps.record.readWard(caller.wardId);
  const owed = owedLines(view.lines, view.ward.policy, bot.deps.clock.now());
  const patient = read.is === 'form' ? read.patient : read.whose === 'all' ? null : read.whose.patient;
  const found = patient === null ? null : findLine(patient, owed, bot.command);
  if (found && found.is !== 'one') return caller.say(`Nothing was changed. ${found.message}`);
  if (found && found.rest !== '') {
    return caller.say(
      `Nothing was changed. I didn’t understand “${found.rest}”. Write @ and the nurse right after the patient’s name, and pick the nurse from the list.`,
    );
  }
  if (read.is === 'form') return openAssign(bot, caller, found?.line.id);
  const shared: ShareOut = found
    ? { lines: new Map([[found.line.id, read.nurse]]) }
    : { lines: new Map(), others: read.nurse };
  const from = read.next ? nextShiftStart(view.ward.policy.shifts, bot.deps.clock.now()) : null;
  const result = await shareOut(bot, caller, shared, from, 'command');
  if ('errors' in result) return caller.say(Object.values(result.errors).join(' '));
  return result.say();
}

/** Opens the form: for one line, or every line that is in or followed up. */
export async function openAssign(bot: Bot, caller: Caller, lineId?: string): Promise<void> {
  const { record, clock } = bot.deps;
  const view = await record.readWard(caller.wardId);
  const now = clock.now();
  const { policy } = view.ward;
  const owed = owedLines(view.lines, policy, now)
    .filter(({ id }) => lineId === undefined || id === lineId)
    .sort((a, b) => a.patient.name.localeCompare(b.patient.name, 'en') || a.placed.at - b.placed.at);
  if (owed.length === 0) return caller.say(nothingToShare);
  const startMs = nextShiftStart(policy.shifts, now);
  return openView(
    bot,
    caller,
    assignForm({
      wardId: caller.wardId,
      lines: await Promise.all(
        owed.map(async (line) => ({ line, withWhom: await withWhomWords(bot, line, view, now) })),
      ),
      coming: {
        startMs,
        name: shiftAt(policy.shifts, startMs).name,
        clock: clockText(policy, startMs, now),
      },
      // In the minutes of a handover lines are shared out for the shift that comes.
      isForComing: startMs - now <= soonMs(policy),
    }),
  );
}

/** With whom a line is, and in the coming shift where that is said already; plain text. */
async function withWhomWords(bot: Bot, line: LineState, { ward }: WardView, now: number): Promise<string> {
  const present = await whoWords(nurseFor(ward, line, now), bot.names);
  const planned = line.plannedNurses.find(({ from }) => from > now);
  const coming = planned
    ? `, from ${clockText(ward.policy, planned.from, now)} with ${await whoWords(nurseFor(ward, line, planned.from), bot.names)}`
    : '';
  return `With ${present}${coming}.`;
}

/** What a share-out came to: how to say so, or what is wrong, by the form's question. */
type SharedOut = { say: () => Promise<void> } | { errors: FormErrors };

/** Gives the lines, unless somebody chosen could not record anything of them. */
export async function shareOut(
  bot: Bot,
  caller: Caller,
  shared: ShareOut,
  from: number | null,
  via: EntryHead['via'],
): Promise<SharedOut> {
  const chosen = [
    ...[...shared.lines].map(([lineId, nurse]) => [`line.${lineId}`, nurse] as const),
    ...(shared.others === undefined ? [] : [['all', shared.others] as const]),
  ];
  const errors: FormErrors = {};
  for (const [blockId, nurse] of chosen) {
    if (nurse === bot.userId) errors[blockId] = 'Not given: I can’t have a line. Choose the nurse who does.';
    else if (!(await isOnWard(bot.membership, caller.wardId, nurse)))
      errors[blockId] =
        `Not given: ${await bot.names.of(nurse)} isn’t in this channel and couldn’t record anything. Invite them first, or choose somebody else.`;
    else {
      const fault = await namedFault(bot, caller.wardId, nurse);
      if (fault !== null) errors[blockId] = `Not given: ${fault}`;
    }
  }
  if (Object.keys(errors).length > 0) return { errors };
  const intent = { wardId: caller.wardId, by: caller.user, via, once: caller.once };
  const outcome = await assignLines(bot.deps, intent, shared, from);
  if (outcome.results.length === 0 && !outcome.repeat) return { errors: { from: nothingToShare } };
  return {
    say: async () => {
      const words = await sharedWords(bot, caller, outcome);
      return caller.say(words, withTakeBack(words, outcome));
    },
  };
}

/** Who was given what and from when, who is away of them, and what could not be given. */
async function sharedWords(bot: Bot, caller: Caller, outcome: Outcome): Promise<string> {
  if (outcome.repeat) return 'Already recorded; nothing was written twice.';
  const { ward, lines } = outcome;
  const { names } = bot;
  const now = bot.deps.clock.now();
  const clock = (atMs: number) => clockText(ward.policy, atMs, now);
  const said: string[] = [];
  const given = outcome.results
    .flatMap((one) => {
      const line = lines.get(one.lineId);
      return one.is === 'taken' && one.draft.kind === 'assigned' && line ? [{ line, ...one.draft.body }] : [];
    })
    .sort(({ line: a }, { line: b }) => a.patient.name.localeCompare(b.patient.name, 'en'));
  for (const [nurse, mine] of Map.groupBy(given, (one) => one.nurse)) {
    const name = await names.of(nurse);
    const named = mine.slice(0, mostNamed).map(({ line }) => lineWords(line));
    const more = mine.length > mostNamed ? [`${mine.length - mostNamed} more`] : [];
    const at = mine[0]?.from;
    const when = at === undefined ? 'now' : `from ${clock(at)}`;
    const hears = nurse === caller.user ? '' : ` ${name} is told by direct message.`;
    said.push(`With ${name} ${when}: ${listed([...named, ...more])}.${hears}`);
    const since = Math.max(now, at ?? now);
    const cover = coverOf(ward.covers, nurse, since);
    if (cover) {
      const standIn = await names.of(standInFor(ward.covers, nurse, since));
      said.push(`${name} is away until ${clock(cover.until)}, and ${standIn} stands in: reminders go there.`);
    }
  }
  for (const one of outcome.results) {
    const line = lines.get(one.lineId) ?? null;
    if (one.is === 'refused') said.push(await refusalWords(one.refusal, line, ward, names, now));
    if (one.is === 'no such line')
      said.push('One line is no longer on this ward’s record, so it was given to nobody.');
  }
  // A shift that is not the next any more is said once, not for each line.
  return [...new Set(said)].join('\n');
}
