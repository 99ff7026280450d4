import { nextAuditAt } from '../audit/month-audit.ts';
import { linesOnWard } from '../away/away.ts';
import { dutiesOfLine, mayCloseAt } from '../duties/duties-of-line.ts';
import type { Duty } from '../duties/duty.ts';
import { urgencyOf } from '../duties/urgency.ts';
import { wardStepsAt } from '../handover/handover-schedule.ts';
import type { EntryDraft } from '../record/entry.ts';
import type { LineState } from '../record/line-state.ts';
import { visitAsOf } from '../rounds/takeover.ts';
import { visitAt, visitBy } from '../rounds/visit.ts';
import { visitHeldUntil } from '../rounds/visit-gap.ts';
import { nextShiftStart, shiftAt } from '../shifts/shift-calendar.ts';
import { minuteMs } from '../time.ts';
import { coverStepsAt } from '../ward/cover.ts';
import { nurseOf, onCallFor } from '../ward/on-call.ts';
import type { WardState } from '../ward/ward-state.ts';
import { shutNotificationsAt } from './channel-shut.ts';
import { followCalendar } from './follow-calendar.ts';
import { type Notification as Late, notificationOf } from './notify-late.ts';
import { backupAt, calledAt, leadAt } from './people.ts';
import type { Reader, Step } from './steps.ts';
import { stepsOfLine } from './steps-of-line.ts';
import type { WakePlan } from './wake-plan.ts';

/** A ward looked at: what is planned so far, and what every part of the plan goes by. `steps`: taken or to come, of all lines. */
interface Look {
  plan: WakePlan;
  ward: WardState;
  lines: readonly LineState[];
  steps: readonly Step[];
  now: number;
}

/**
 * What is to be told at `now` and is not told yet. It looks at nothing but the record, so a wake-up that comes twice,
 * late, early or not at all changes only when this is asked. Steps that passed while nobody looked are all taken, each
 * once; repeats are not made up for.
 */
export function planWake(ward: WardState, lines: readonly LineState[], now: number): WakePlan {
  const plan: WakePlan = { drafts: [], wardDrafts: [], posts: [], adds: false };
  const steps = lines.flatMap((line) => stepsOfLine(line, ward, now));
  const look: Look = { plan, ward, lines, steps, now };
  beginVisits(look);
  const own = steps.filter(({ to, at }) => to === 'ward' && at <= now).map(({ duty }) => duty);
  if (own.length > 0) {
    const visits = plan.posts.filter((post) => post.what === 'nudge');
    for (const duty of own) {
      // Where a visit to that very line begins now, it is one message.
      const visit = visits.find(({ duties }) => duties.some(({ lineId }) => lineId === duty.lineId));
      if (visit) visit.duties.push(duty);
    }
    const visitOf = (duty: Duty) => visits.find(({ duties }) => duties.includes(duty))?.nurse ?? null;
    for (const [nurse, theirs] of Map.groupBy(own, visitOf)) {
      if (nurse === null) plan.posts.push({ to: 'ward', what: 'nudge', nurse, duties: theirs });
      write(plan, theirs, (duties) => nudged(duties, nurse));
    }
  }
  notifyNurses(look);
  notifyOne(look, 'lead', leadAt(ward, now));
  askQuestions(look);
  notifyClinician(look);
  notifyBackup(look);
  followCalendar(plan, ward, lines, now);
  return plan;
}

/** A visit of each nurse whose next has to begin, yet none within the ward's gap of the one before. */
function beginVisits({ plan, ward, lines, now }: Look): void {
  const asOf = visitAsOf(ward.policy, now);
  for (const [nurse, mine] of Map.groupBy(linesOnWard(lines), (line) => nurseOf(ward, line, asOf))) {
    if (!mine.some((line) => beginsVisit(line, ward, now)) || now < visitHeldUntil(ward, mine, now)) continue;
    const duties = visitAt(mine, ward.policy, now);
    if (duties.length === 0) continue;
    plan.posts.push({ to: 'ward', what: 'nudge', nurse, duties });
    write(plan, duties, (pairs) => nudged(pairs, nurse));
  }
}

function beginsVisit(line: LineState, { policy }: WardState, now: number): boolean {
  const begins = visitBy(line, policy, now);
  return begins !== null && begins <= now;
}

function notifyNurses(look: Look): void {
  const { ward, now } = look;
  const nurses = look.steps.filter(({ to }) => to === 'nurse');
  if (!nurses.some(({ at }) => at <= now)) return;
  for (const [user, lines] of Map.groupBy(look.lines, (line) => nurseOf(ward, line, now))) {
    const ids = new Set(lines.map(({ id }) => id));
    const steps = nurses.filter(({ duty }) => ids.has(duty.lineId));
    notifyOne({ ...look, lines, steps }, 'nurse', user);
  }
}

/** Tells one reader what is late, in a new message or by adding to the one that stands. */
function notifyOne({ plan, ward, lines, steps, now }: Look, to: Reader, user: string | null): void {
  if (user === null) return;
  const mine = steps.filter((step) => step.to === to);
  const draft = notificationOf(to, user, mine, lines, ward.policy, now);
  if (draft === null) return;
  if (draft.joins === undefined) plan.posts.push({ to, what: 'escalation', user, duties: draft.duties });
  else plan.adds = true;
  escalate(plan, to, user, draft);
}

function escalate(plan: WakePlan, to: Reader, user: string | undefined, { duties, joins }: Late): void {
  write(plan, duties, (pairs) => ({
    kind: 'escalated',
    body: {
      duties: pairs,
      to,
      ...(user === undefined ? {} : { user }),
      ...(joins === undefined ? {} : { joins }),
    },
  }));
}

const isQuestion = ({ duty }: Step, { policy }: WardState) => urgencyOf(policy, duty.kind) === 'question';

/** The day's list for whoever is on call; where nobody is, it waits for the next day's. */
function askQuestions({ plan, ward, steps, now }: Look): void {
  const due = steps.filter((step) => isQuestion(step, ward) && step.at <= now).map(({ duty }) => duty);
  if (due.length === 0) return;
  const user = calledAt(ward, now) ?? undefined;
  if (user !== undefined) plan.posts.push({ to: 'clinician', what: 'questions', user, duties: due });
  escalate(plan, 'clinician', user, { duties: due });
}

function notifyClinician(look: Look): void {
  const { plan, ward, lines, now } = look;
  const mine = look.steps.filter((step) => step.to === 'clinician' && !isQuestion(step, ward));
  const user = calledAt(ward, now);
  if (user !== null) return notifyOne({ ...look, steps: mine }, 'clinician', user);
  const draft = notificationOf('clinician', undefined, mine, lines, ward.policy, now);
  if (draft === null) return;
  if (draft.joins === undefined) {
    plan.posts.push({ to: 'ward', what: 'nobody on call', duties: draft.duties });
    const backup = backupAt(ward, now);
    if (backup !== null)
      plan.posts.push({ to: 'backup', what: 'escalation', user: backup, duties: draft.duties });
  } else plan.adds = true;
  escalate(plan, 'clinician', undefined, draft);
}

/** Two repeats had no answer: the backup is told, and the ward, by name of whoever did not answer. */
function notifyBackup({ plan, ward, lines, steps, now }: Look): void {
  const user = calledAt(ward, now);
  const mine = steps.filter(({ to }) => to === 'backup');
  const backup = backupAt(ward, now);
  const draft =
    user === null ? null : notificationOf('backup', backup ?? undefined, mine, lines, ward.policy, now);
  if (user === null || draft === null) return;
  const { duties, joins } = draft;
  if (joins !== undefined) plan.adds = true;
  else {
    if (backup !== null) plan.posts.push({ to: 'backup', what: 'escalation', user: backup, duties });
    plan.posts.push({ to: 'ward', what: 'nobody answered', user, duties });
  }
  escalate(plan, 'backup', backup ?? undefined, draft);
}

/**
 * The next instant at which `planWake` may have something to say of this line or its standing changes; null when
 * nothing is owed to it any more. A visit held back by the gap between visits waits until `heldFor`.
 */
export function lineWakeAt(line: LineState, ward: WardState, now: number, heldFor = 0): number | null {
  if (line.inError) return null;
  const closing = mayCloseAt(line);
  const visit = visitBy(line, ward.policy, now);
  const instants = [
    ...(visit === null ? [] : [Math.max(visit, heldFor)]),
    ...stepsOfLine(line, ward, now).map(({ at }) => at),
    ...dutiesOfLine(line, ward.policy, now).flatMap(({ expiresAt }) =>
      expiresAt === undefined ? [] : [expiresAt],
    ),
    ...(closing !== null && closing > now ? [closing] : []),
    ...line.plannedNurses.flatMap(({ from }) => (from > now ? [from] : [])),
  ];
  return instants.length === 0 ? null : Math.min(...instants);
}

/**
 * The next instant of the ward's own calendar: a handover, a cover's beginning or end, the shift from which another is on call, or the
 * month's audit, which is owed also when no line is in any more; null for a ward that nothing was ever recorded of.
 */
export function wardWakeAt(ward: WardState, lines: readonly LineState[], now: number): number | null {
  const step = wardStepsAt(ward, lines, now)[0]?.at;
  const isBegun = ward.begunAt !== null || lines.length > 0;
  const covers = ward.covers.flatMap(({ from, until }) => [from, until]).filter((at) => at > now);
  const coming = nextShiftStart(ward.policy.shifts, now);
  const instants = [
    ...(step === undefined ? [] : [step]),
    ...covers,
    ...coverStepsAt(ward.covers, now).map(({ at }) => at),
    ...shutNotificationsAt(ward, lines, now).map(({ at }) => at),
    // Another may lead from the next shift on, and has yet to be told.
    ...(ward.channelShut && lines.length > 0 ? [coming] : []),
    ...(isSameCalled(ward, now, coming) ? [] : [coming]),
    ...(isBegun ? [nextAuditAt(ward.policy.shifts, now)] : []),
  ];
  return instants.length === 0 ? null : Math.min(...instants);
}

/** How long after an instant at which time alone changed who is told a look still brings the messages up to date, ms. */
const changeSeenMs = 60 * minuteMs;

const isJustPast = (at: number, now: number) => at <= now && now < at + changeSeenMs;

/** Whether a shift has just begun for which the line had been given to somebody. */
export function changesHands({ plannedNurses }: LineState, now: number): boolean {
  return plannedNurses.some(({ from }) => isJustPast(from, now));
}

/** Whether a cover has just begun or ended: any line's nurse, and who is on call, may be another. */
export function changesCover({ covers }: WardState, now: number): boolean {
  return covers.some(({ from, until }) => isJustPast(from, now) || isJustPast(until, now));
}

/** Whether a shift has just begun from which another is on call: whoever was told that they are must read that they were. */
export function changesCall(ward: WardState, now: number): boolean {
  const { startMs } = shiftAt(ward.policy.shifts, now);
  return isJustPast(startMs, now) && !isSameCalled(ward, startMs - 1, startMs);
}

function isSameCalled(ward: WardState, atMs: number, laterMs: number): boolean {
  const [one, other] = [onCallFor(ward, atMs), onCallFor(ward, laterMs)];
  return one?.user === other?.user && one?.insteadOf === other?.insteadOf;
}

function nudged(duties: [Duty['kind'], number][], nurse: string | null): EntryDraft {
  return { kind: 'nudged', body: { duties, ...(nurse === null ? {} : { nurse }) } };
}

function write(
  plan: WakePlan,
  duties: readonly Duty[],
  draft: (pairs: [Duty['kind'], number][]) => EntryDraft,
): void {
  for (const [lineId, mine] of Map.groupBy(duties, (duty) => duty.lineId)) {
    plan.drafts.push({ lineId, draft: draft(mine.map(({ kind, dueAt }) => [kind, dueAt])) });
  }
}
