import { isEscorted } from '../away/away.ts';
import { holdCallMs } from '../duties/after-removal.ts';
import { atOnceMs } from '../duties/at-once.ts';
import { type Duty, saidAfter } from '../duties/duty.ts';
import { claimOn, marksOn, saidNear } from '../duties/marks-on.ts';
import { dangerousFrom, nurseGraceMs, urgencyOf, wakingFrom } from '../duties/urgency.ts';
import { isClinicians, isDwell } from '../duty-kind.ts';
import { graceOf, laterMinOf, type WardPolicy } from '../policy/ward-policy.ts';
import type { LineState, Marks, Notified } from '../record/line-state.ts';
import { askBy, speaksForItself } from '../rounds/visit.ts';
import { nextWallTime } from '../shifts/next-wall-time.ts';
import { hourMs, minuteMs } from '../time.ts';

/** Who is told of what is late, besides the ward: whoever has the line, whoever leads the nurses, on call, and behind them. */
export const readers = ['nurse', 'lead', 'clinician', 'backup'] as const;
/** Who is told of late care. */
export type Reader = (typeof readers)[number];

/** The people behind the readers at one instant; null where the ward names nobody, or nobody whom a direct message reaches. */
export interface People {
  nurse: string | null;
  lead: string | null;
  clinician: string | null;
  backup: string | null;
}

/** Who is told of a duty next, and when (ms since the epoch). */
export interface Step {
  duty: Duty;
  to: 'ward' | Reader;
  at: number;
}

/**
 * A question is put on the list that comes up to this long before it is due, ms: the list comes once in 24 h, so what is due once a
 * day is asked an hour late at the most.
 */
const askedAheadMs = 23 * hourMs;
/** Nobody is asked so soon after they placed a line, or said that they need it, ms. */
const notAskedForMs = hourMs;
/** Repeats to a ward in which nobody is on call come ever more rarely, up to this, ms. */
const mostApartMs = 4 * hourMs;
/**
 * A danger of another patient than those the clinician's phone rang for rings this long after it did, ms, and not at once: so late
 * flushes of one bad hour make three calls, not forty. Common practice, no source.
 */
const nextPatientRingsMs = 20 * minuteMs;
/** The first message and two repeats without an answer: then somebody else is told. */
export const callsBeforeBackup = 3;

/**
 * The steps of a duty that are not taken yet, besides being asked for on a visit: at most one to each reader.
 *
 * - What speaks for itself (a cat's dwell limit, the look after a hold) is told to the ward when it is due, a hold's end 2 min
 *   later. A dwell warning is carried by visits, and told to a clinician in waking hours.
 * - A question goes on the clinician's list of the day, again on the next day's, and to nobody else.
 * - *Care* that is late goes to the nurse, then to whoever leads the nurses, then in waking hours to the clinician.
 * - *Danger* goes to the clinician at once, at any hour, and again every `repeatMin` until claimed or done; after two
 *   repeats without an answer to the backup too.
 *
 * "Later" moves the nurse's step past its end and the clinician's by no more than the minutes that "later" buys. "Cannot" climbs
 * at once; said by whoever is called for it, to the backup instead, and to them again when somebody else's claim ends: the clinician
 * who can't come hears a repeat later. A claim silences until it ends or somebody says "cannot".
 *
 * Of a patient that is off the ward with somebody named, that person is the nurse and is told when a visit would begin: the
 * ward cannot do it. A cat's dwell goes to all three.
 *
 * A reader whom no direct message reaches is passed over, and the next is told when they would have been: see `People`.
 *
 * Example: a flush due 03:00 → nurse 03:10, clinician 03:20, again 03:50 and 04:20, the backup 04:50.
 */
export function stepsOf(line: LineState, duty: Duty, policy: WardPolicy, people: People): Step[] {
  const marks = marksOn(line, duty);
  // Whoever is called hears no news in their own "cannot".
  const own = marks.cannot?.by === people.clinician ? marks.cannot : undefined;
  const cannot = own ? undefined : marks.cannot;
  // On a small ward whoever is called may be the nurse as well.
  const nurseCannot = own?.by === people.nurse ? own : cannot;
  const steps: Step[] = [];
  const add = (to: Step['to'], at: number) => steps.push({ duty, to, at });
  const escorted = isEscorted(line);
  const isWards = speaksForItself(duty) && !(duty.kind === 'hold' && escorted);
  if (isWards && !saidNear(line, duty, policy, 'nudged'))
    add('ward', duty.dueAt + (duty.kind === 'hold' ? holdCallMs : 0));
  const isEscorts = escorted && !isClinicians(duty.kind) && urgencyOf(policy, duty.kind) !== 'question';
  // Whoever leads the nurses is told in the place of one whom no message reaches.
  const notifyNurse = (at: number) => {
    if (people.nurse === null && people.lead !== null && marks.lead?.user !== people.lead) add('lead', at);
    if (people.nurse !== null && !isNurseNotified(marks, people.nurse)) add('nurse', at);
  };
  if (isEscorts && !nurseCannot) notifyNurse(askBy(line, duty, policy));
  if (duty.kind === 'hold') return steps;
  const heldUntil = claimOn(marks)?.until ?? 0;
  const notified = saidNear(line, duty, policy, 'clinician');
  if (urgencyOf(policy, duty.kind) === 'question') {
    const settledAt = Math.max(line.knownSince, line.marks[duty.kind]?.waived?.at ?? 0);
    const from = Math.max(
      duty.dueAt - askedAheadMs,
      settledAt + notAskedForMs,
      notified ? notified.at + 1 : 0,
      heldUntil,
    );
    add('clinician', nextWallTime(policy.shifts.zone, policy.questionsAt, from));
    return steps;
  }
  const danger = dangerousFrom(duty, policy);
  const climbs = !isClinicians(duty.kind) && !isDwell(duty.kind);
  if (climbs && !escorted && !nurseCannot)
    notifyNurse(Math.max(usuallyAt(duty, marks, policy).nurse, heldUntil));
  const isLeadsStep = people.nurse !== null || marks.cannot !== undefined;
  if (climbs && danger === null && isLeadsStep && people.lead !== null && marks.lead?.user !== people.lead)
    add('lead', Math.max(marks.cannot?.at ?? usuallyAt(duty, marks, policy).clinician, heldUntil));
  const at = notified
    ? clinicianAgainAt(line, duty, cannot, notified, policy, people)
    : clinicianFirstAt(duty, marks, cannot, policy, people);
  // Somebody else took over what this clinician can't come to: whoever stands behind hears first that it isn't done.
  const lapsesAt = own && heldUntil > 0 ? heldUntil : null;
  if (at !== null)
    add('clinician', Math.max(at, lapsesAt === null ? heldUntil : lapsesAt + policy.repeatMin * minuteMs));
  // Where nobody can be called that is cried out, and the backup hears with it.
  const hasBackup = danger !== null && people.clinician !== null;
  const refused = own && { ...own, at: Math.max(own.at, lapsesAt ?? 0) };
  const backupAt = hasBackup ? backupNextAt(danger, notified, marks.backup, refused, policy) : null;
  if (backupAt !== null) add('backup', Math.max(backupAt, heldUntil));
  return steps;
}

/**
 * When somebody else is told of a danger that a clinician does not answer, or at once where they say "cannot", and again, ever more
 * rarely, ms; null while it is the clinician's alone. Where the clinician's count began anew, as after a correction, again is
 * after the call that made it three.
 */
function backupNextAt(
  danger: number,
  notified: Notified | undefined,
  backup: Notified | undefined,
  refused: Marks['cannot'],
  policy: WardPolicy,
): number | null {
  if (refused && (backup === undefined || saidAfter(refused, backup))) return Math.max(refused.at, danger);
  const isUnanswered = notified?.user !== undefined && (notified.times ?? 0) >= callsBeforeBackup;
  if (backup === undefined) return isUnanswered ? stampOf(notified) + policy.repeatMin * minuteMs : null;
  const againAt = stampOf(backup) + rareMs(backup.times ?? 1, policy);
  if (isUnanswered) return Math.max(againAt, notified.at + 1);
  return refused ? againAt : null;
}

/** Between two messages about what nobody answers, the `times`th being the last, ms: twice as long each time, up to 4 h. */
function rareMs(times: number, { repeatMin }: WardPolicy): number {
  const repeatMs = repeatMin * minuteMs;
  return Math.min(repeatMs * 2 ** Math.max(0, times - 1), Math.max(mostApartMs, repeatMs));
}

/** When the message was made that a word stands in, ms. */
export function stampOf(words: { at: number; joins?: number | undefined }): number {
  return words.joins ?? words.at;
}

function isNurseNotified({ nurse: notified, snoozed }: Marks, nurse: string): boolean {
  return notified !== undefined && notified.user === nurse && !(snoozed && saidAfter(snoozed, notified));
}

/** When nurse and clinician hear of a duty that is late, ms, before claims: "later" moves both, the clinician by little. */
function usuallyAt(duty: Duty, { snoozed }: Marks, policy: WardPolicy): { nurse: number; clinician: number } {
  const grace = graceOf(policy, duty.kind);
  const from = Math.max(duty.dueAt + atOnceMs(duty, policy), snoozed?.until ?? 0);
  const usual = duty.dueAt + atOnceMs(duty, policy) + grace.clinician * minuteMs;
  const most = usual + laterMinOf(policy, duty.kind) * minuteMs;
  return {
    nurse: from + nurseGraceMs(duty, policy),
    clinician: Math.max(usual, Math.min(from + grace.clinician * minuteMs, most)),
  };
}

function clinicianFirstAt(
  duty: Duty,
  marks: Marks,
  cannot: Marks['cannot'],
  policy: WardPolicy,
  people: People,
): number {
  const danger = dangerousFrom(duty, policy);
  if (danger === null && isDwell(duty.kind)) return wakingFrom(policy, duty.dueAt);
  const { nurse, clinician } = usuallyAt(duty, marks, policy);
  // Where neither nurse nor lead is reached the clinician is the next.
  const isNext = people.nurse === null && people.lead === null && !isDwell(duty.kind);
  const nextAt = isNext ? wakingFrom(policy, nurse) : Number.POSITIVE_INFINITY;
  if (danger !== null) {
    if (duty.dueAt === danger) return danger;
    // "Later" that was over before it was due, as on an early visit, bought nothing.
    const boughtMs = Math.max(0, (marks.snoozed?.until ?? 0) - duty.dueAt);
    const putOffMs = Math.min(boughtMs, laterMinOf(policy, duty.kind) * minuteMs);
    return cannot?.at ?? Math.min(danger + putOffMs, nextAt);
  }
  const usual = cannot?.at ?? (isNext ? nurse : clinician);
  // Whoever leads the nurses has their time to see to it first.
  const first = people.lead === null ? usual : usual + policy.repeatMin * minuteMs;
  return wakingFrom(policy, first);
}

/** When the clinician hears again of what they were told; null for news that needs no answer. */
function clinicianAgainAt(
  line: LineState,
  duty: Duty,
  cannot: Marks['cannot'],
  notified: Notified,
  policy: WardPolicy,
  people: People,
): number | null {
  if (cannot && saidAfter(cannot, notified)) return cannot.at;
  const isDanger = dangerousFrom(duty, policy) !== null;
  const waking = (atMs: number) => (isDanger ? atMs : wakingFrom(policy, atMs));
  // Told to another, or cried out while nobody was on call: whoever is on call since hears it at once.
  if (people.clinician !== null && notified.user !== people.clinician) return waking(notified.at);
  if (duty.kind === 'dwellWarning') return null;
  const againMs =
    notified.user === undefined ? rareMs((notified.times ?? 1) - 1, policy) : policy.repeatMin * minuteMs;
  const isNextPatients = isDanger && notified.user !== undefined && isOnlyAdded(line, notified);
  return waking(stampOf(notified) + (isNextPatients ? Math.min(againMs, nextPatientRingsMs) : againMs));
}

/** Whether a message that a duty was added to had rung for nothing else of its line. */
function isOnlyAdded(line: LineState, { joins }: Notified): boolean {
  return joins !== undefined && !rangFor(line, joins);
}

/** Whether the clinician's phone rang for something of a line at `atMs`. */
function rangFor({ marks }: LineState, atMs: number): boolean {
  return Object.values(marks).some(
    ({ clinician }) => clinician?.at === atMs && clinician.joins === undefined,
  );
}

/** Whether a danger of another patient than those the clinician's phone rang for at `rangAt` rings by now (ms). */
export function ringsForNextPatient(
  line: LineState,
  duty: Duty,
  policy: WardPolicy,
  rangAt: number,
  now: number,
): boolean {
  const isDanger = dangerousFrom(duty, policy) !== null;
  return isDanger && now >= rangAt + nextPatientRingsMs && !rangFor(line, rangAt);
}
