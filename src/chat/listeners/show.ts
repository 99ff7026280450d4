import type { WardView } from '../../app/ports.ts';
import { isEscorted } from '../../domain/away/away.ts';
import { dutiesOfLine } from '../../domain/duties/duties-of-line.ts';
import { type Duty } from '../../domain/duties/duty.ts';
import { dutyStatus } from '../../domain/duties/duty-status.ts';
import { isClinicians } from '../../domain/duty-kind.ts';
import type { FaultSign } from '../../domain/fault/fault-questions.ts';
import { nextQuestion } from '../../domain/fault/next-question.ts';
import { openFault } from '../../domain/fold/fold-faults.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { minuteMs } from '../../domain/time.ts';
import { nurseFor, onCallFor } from '../../domain/ward/on-call.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { offWardWords } from '../../wording/care/away-words.ts';
import { capital, dutyName, listed } from '../../wording/care/duty-words.ts';
import { clockText, flushWords } from '../../wording/care/line-words.ts';
import { targetWords } from '../../wording/care/target-words.ts';
import { whoWords } from '../../wording/care/who-words.ts';
import { rich } from '../../wording/rich-text.ts';
import { dueList } from '../answers/due-list.ts';
import { roundList } from '../answers/round-list.ts';
import type { Bot, Caller } from '../bot.ts';
import { openView, updateView } from '../bot.ts';
import { type Form } from '../form.ts';
import { type Item, isOpen, itemText } from '../messages/asked-items.ts';
import { standing } from '../messages/card.ts';
import { dutyButtons, recordsWords } from '../messages/duty-buttons.ts';
import { type ButtonOf, buttonRow, type Part, paragraph } from '../parts.ts';
import { findLine } from '../typed/find-line.ts';
import { faultChoiceView, faultEndView, faultQuestionView } from '../views/fault-view.ts';
import { lineView, menuView } from '../views/menu-view.ts';
import { minePage } from './mine.ts';

/** Pages in whose place the menu comes. */
const makesRoom: ReadonlySet<string> = new Set(['mine', 'wards']);

/** Opens the ward's menu. */
export async function showMenu(bot: Bot, caller: Caller): Promise<void> {
  const view = await bot.deps.record.readWard(caller.wardId);
  const menu = await menuView(view, bot.names, bot.deps.clock.now());
  // From a page that took the menu's place, it takes its own back.
  return caller.inView && makesRoom.has(caller.inView.page)
    ? updateView(bot, caller.inView.id, menu)
    : openView(bot, caller, menu);
}

/** Opens one line's page: how it stands and everything that can be recorded of it. */
export async function showLine(bot: Bot, caller: Caller, lineId: string): Promise<void> {
  const page = await linePage(bot, caller.wardId, lineId);
  if (page) await openView(bot, caller, page);
  else await caller.say('This line isn’t on this ward’s record. /artline shows the lines there are.');
}

/** A patient's name and nothing else: opens the page of its line. False where it names no line that is in, or more than one. */
export async function showNamed(bot: Bot, caller: Caller, text: string): Promise<boolean> {
  const { lines } = await bot.deps.record.readWard(caller.wardId);
  const found = findLine(
    text,
    lines.filter(({ removed }) => removed === null),
    bot.command,
  );
  if (found.is !== 'one' || found.rest !== '') return false;
  await showLine(bot, caller, found.line.id);
  return true;
}

/** After something was recorded inside a view, what it shows is brought up to date. */
export async function refreshViews(bot: Bot, caller: Caller, lineId: string | null): Promise<void> {
  const { inView } = caller;
  if (!inView) return;
  const now = bot.deps.clock.now();
  if (inView.page === 'fault' && lineId) {
    const [ward, line] = await readLine(bot, caller.wardId, lineId);
    const fault = line?.faults.at(-1);
    if (line && fault) await updateView(bot, inView.id, await faultPage(bot, ward, line, fault.sign));
    return refreshUnder(bot, caller, lineId);
  }
  if (inView.page === 'mine') return updateView(bot, inView.id, await minePage(bot, caller));
  if (inView.page === 'line' && lineId) {
    const page = await linePage(bot, caller.wardId, lineId);
    if (page) await updateView(bot, inView.id, page);
  }
  if (inView.rootId !== inView.id || inView.page === 'menu') {
    const view = await bot.deps.record.readWard(caller.wardId);
    await updateView(bot, inView.rootId, await menuView(view, bot.names, now));
  }
}

/** Brings the line's page and the menu under a fault's page up to date. */
export async function refreshUnder(bot: Bot, { inView, wardId }: Caller, lineId: string): Promise<void> {
  // Pressed on the line's page itself, the fault's page lies on top of it now.
  const pageId = inView?.page === 'line' ? inView.id : inView?.previousId;
  if (!inView || !pageId) return;
  const page = await linePage(bot, wardId, lineId);
  if (page) await updateView(bot, pageId, page);
  if (inView.rootId === pageId) return;
  const view = await bot.deps.record.readWard(wardId);
  await updateView(bot, inView.rootId, await menuView(view, bot.names, bot.deps.clock.now()));
}

/**
 * The page of a line's fault: what it asks now, or how it ended and who hears of it. `pressed`: what to say of the press just
 * made, and the button that takes it back.
 */
export async function faultPage(
  bot: Bot,
  ward: WardState,
  line: LineState,
  sign: FaultSign,
  pressed: { remark?: string | undefined; back?: ButtonOf | null } = {},
): Promise<Form> {
  const now = bot.deps.clock.now();
  const clock = (atMs: number) => clockText(ward.policy, atMs, now);
  const { remark, back } = pressed;
  const given = {
    wardId: ward.id,
    line,
    clock,
    ...(remark === undefined ? {} : { remark }),
    ...(back ? { back } : {}),
  };
  const fault = openFault(line, sign) ?? line.faults.findLast((one) => one.sign === sign);
  if (!fault) return faultChoiceView(given);
  const asked = nextQuestion(sign, fault.steps);
  if (fault.closedAt === null && asked.is === 'ask') return faultQuestionView(given, fault, asked);
  const due = dutiesOfLine(line, ward.policy, now).filter(
    ({ kind, dueAt }) => dueAt <= now && !isClinicians(kind),
  );
  return faultEndView(
    given,
    fault,
    fault.resolved ? dueNowWords(line, due) : await calledWords(bot, ward, now),
    due.some(({ kind }) => kind === 'zero'),
  );
}

function dueNowWords(line: LineState, due: readonly Duty[]): string {
  if (due.length === 0) return 'Nothing is due now.';
  return `Due now: ${listed(due.map(({ kind }) => dutyName(kind, line)))}.`;
}

async function calledWords(bot: Bot, ward: WardState, now: number): Promise<string> {
  const onCall = onCallFor(ward, now);
  return onCall === null
    ? 'Nobody is on call, so I’m telling the ward. Call a clinician yourself now.'
    : `${await whoWords(onCall, bot.names)}, on call, is told. If the patient looks bad, call them yourself as well.`;
}

function readLine(bot: Bot, wardId: string, lineId: string) {
  return Promise.all([bot.deps.record.readWardState(wardId), bot.deps.record.readLine(wardId, lineId)]);
}

async function linePage(bot: Bot, wardId: string, lineId: string) {
  const now = bot.deps.clock.now();
  const [ward, line] = await readLine(bot, wardId, lineId);
  if (!line) return null;
  const view: WardView = { ward, lines: [line] };
  const away = await offWardWords(line, ward, bot.names, now);
  const clock = (atMs: number) => clockText(ward.policy, atMs, now);
  const targets = line.removed ? '' : await targetWords(line, ward.policy, bot.names, clock, now);
  const facts = [
    ...(away === '' ? [] : [away]),
    [
      ...(isEscorted(line) ? [] : [`With ${await whoWords(nurseFor(ward, line, now), bot.names)}.`]),
      ...(line.removed ? [] : [`Flush ${flushWords(line, ward.policy, now)}.`]),
    ].join(' '),
    ...(targets === '' ? [] : [rich`*${targets}.*`]),
    ...(line.removed
      ? [`Taken out ${clockText(ward.policy, line.removed.at, now)}: ${line.removed.reason}.`]
      : standing(line, ward, now)),
  ];
  return lineView(wardId, line, { facts: facts.join('\n'), due: await dueParts(bot, line, view, now) });
}

/** What is due of the line soon, with the same buttons a nudge has, then what comes after in words. */
async function dueParts(bot: Bot, line: LineState, view: WardView, now: number): Promise<Part[]> {
  const duties = dutiesOfLine(line, view.ward.policy, now);
  // What a round now would take along.
  const soonMs = view.ward.policy.roundMin * minuteMs;
  const soon = duties.filter(({ dueAt }) => dueAt <= now + soonMs);
  const items: Item[] = soon.map(({ kind, dueAt }) => {
    const asked = { lineId: line.id, kind, dueAt };
    return { asked, line, status: dutyStatus(line, view.ward.policy, asked, dueAt, now) };
  });
  const open = items.filter(isOpen);
  const texts = await Promise.all(open.map((item) => itemText(item, view, bot.names, now)));
  const later = duties
    .filter(({ dueAt }) => dueAt > now + soonMs)
    .map(({ kind, dueAt }) => `${capital(dutyName(kind, line))} ${clockText(view.ward.policy, dueAt, now)}`);
  return [
    ...(texts.length > 0
      ? [
          paragraph([rich`*Due*`, ...texts, ...recordsWords(line, open, view)].join('\n')),
          buttonRow(`duties:${line.id}`, dutyButtons(view.ward.id, line, open, view)),
        ]
      : []),
    ...(later.length > 0 ? [paragraph(rich`*Next* ${later.join(' · ')}`)] : []),
  ];
}

/** Answers what is due on the ward. */
export async function showDue(bot: Bot, caller: Caller): Promise<void> {
  const view = await bot.deps.record.readWard(caller.wardId);
  const list = await dueList(view, bot.names, bot.deps.clock.now());
  await caller.say(list.text, list.parts);
}

/** Answers with the fewest visits of the shift, for each nurse. */
export async function showRounds(bot: Bot, caller: Caller): Promise<void> {
  const view = await bot.deps.record.readWard(caller.wardId);
  const list = await roundList(view, bot.names, caller.user, bot.deps.clock.now());
  await caller.say(list.text, list.parts);
}
