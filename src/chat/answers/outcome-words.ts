import type { DraftResult } from '../../app/decide-drafts.ts';
import type { Outcome } from '../../app/record-on-lines.ts';
import { spokenOf } from '../../domain/accept/accept.ts';
import { holdMinutes } from '../../domain/duties/after-removal.ts';
import { dutiesOfLine } from '../../domain/duties/duties-of-line.ts';
import { type Duty } from '../../domain/duties/duty.ts';
import { isForClinicianAtOnce } from '../../domain/duties/finding-seen.ts';
import { marksOn } from '../../domain/duties/marks-on.ts';
import { dangerousFrom } from '../../domain/duties/urgency.ts';
import { isClinicians } from '../../domain/duty-kind.ts';
import { backupAt, calledAt } from '../../domain/ladder/people.ts';
import { bleedingRisk } from '../../domain/placing/bleeding-risk.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { EntryDraft } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { hourMs } from '../../domain/time.ts';
import { nurseFor, onCallFor } from '../../domain/ward/on-call.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { dutyName, listed } from '../../wording/care/duty-words.ts';
import { draftWords } from '../../wording/care/entry-words.ts';
import { clockText, lineWords } from '../../wording/care/line-words.ts';
import { keepCatheterWords } from '../../wording/care/removal-words.ts';
import { restsWords } from '../../wording/care/target-words.ts';
import { whoWords } from '../../wording/care/who-words.ts';
import type { Names } from '../../wording/names.ts';
import { refusalWords } from '../../wording/refusals/refusal-words.ts';
import { rich } from '../../wording/rich-text.ts';
import { askedWords } from './asked-words.ts';
import { foundWords, type Taken } from './found-words.ts';

/** What became of what somebody recorded, for that person alone: what was written, what was not and why, what comes next. */
export async function outcomeWords(outcome: Outcome, names: Names, now: number): Promise<string> {
  if (outcome.repeat) return 'Already recorded; nothing was written twice.';
  const { ward, lines } = outcome;
  const clock = (atMs: number) => clockText(ward.policy, atMs, now);
  const sentences: string[] = [];
  for (const [lineId, results] of Map.groupBy(outcome.results, (one) => one.lineId)) {
    const line = lines.get(lineId);
    if (!line) {
      sentences.push(
        'Not recorded: this line isn’t on this ward’s record. /artline shows the lines there are.',
      );
      continue;
    }
    const taken = results.filter((one): one is DraftResult & { is: 'taken' } => one.is === 'taken');
    if (taken.length > 0) {
      const heads = await takenWords(line, taken, names, clock);
      sentences.push(
        `${heads.join(' ')}${await furtherWords(outcome, line, taken, names, now)}${next(line, outcome, taken, now)}`,
      );
    }
    for (const one of results) {
      if (one.is === 'refused') {
        // Zeroed and levelled are two drafts and one refusal.
        const why = await refusalWords(one.refusal, line, ward, names, now);
        if (!sentences.includes(why)) sentences.push(why);
      }
      if (one.is === 'asked') sentences.push(await askedWords(one, line, ward, names, now));
      if (one.is === 'already') sentences.push(await alreadyWords(one, line, names, clock));
    }
  }
  return sentences.join('\n');
}

/** What was recorded of one line, and what was struck out or put right of it: that by what it says, when it was and whose it is. */
async function takenWords(
  line: LineState,
  taken: Taken,
  names: Names,
  clock: (atMs: number) => string,
): Promise<string[]> {
  const which = lineWords(line);
  const isOld = ({ draft, amended }: Taken[number]) =>
    amended !== undefined && draft.kind === 'amended' && !line.inError;
  const acts = taken.filter((one) => !isOld(one));
  const [first] = acts;
  const what = listed(acts.map((one) => draftWords(recorded(one), line)));
  const amendments = await Promise.all(
    taken.filter(isOld).map(async ({ draft, amended }) => {
      if (!amended || draft.kind !== 'amended') return '';
      const verb = draft.body.strike === undefined ? 'Put right' : 'Struck out';
      return `${verb} for ${which}: ${draftWords(amended, line)}, ${clock(amended.at)}, by ${await names.of(amended.by)}.`;
    }),
  );
  return [...(first ? [`Recorded for ${which}: ${what}, ${clock(first.entry.at)}.`] : []), ...amendments];
}

/** Who recorded the same before; or who did, meanwhile, what a “later”, a “cannot”, a claim or a decision was about. */
async function alreadyWords(
  { draft, done }: DraftResult & { is: 'already' },
  line: LineState,
  names: Names,
  clock: (atMs: number) => string,
): Promise<string> {
  const who = await names.of(done.by);
  const about = spokenOf(draft).map(([kind]) => dutyName(kind, line));
  if (about.length === 0)
    return `${who} already recorded that, ${clock(done.at)}: ${lineWords(line)} ${draftWords(draft, line)}. It’s recorded once.`;
  const doneBy = about.length === 1 ? ` ${clock(done.at)} by ${who}` : '';
  return `Nothing recorded for ${lineWords(line)}: ${listed(about)} ${about.length === 1 ? 'was' : 'were'} done already${doneBy}.`;
}

/** The answer to a check of a site that nobody looked at: nothing is recorded, and it stays due. */
export function notLookedWords(line: LineState, { policy }: WardState, now: number): string {
  const due = dutiesOfLine(line, policy, now).find(({ kind }) => kind === 'site');
  const when = due && (due.dueAt > now ? clockText(policy, due.dueAt, now) : 'now');
  return `Nothing recorded for ${lineWords(line)}: nobody looked at the site.${when ? ` Site check due ${when}.` : ''}`;
}

/** What was recorded as it stands in the record: a flush with the volume that counts. */
function recorded({ draft, entry }: DraftResult & { is: 'taken' }): EntryDraft {
  return entry.kind === draft.kind ? entry : draft;
}

/** Who hears of it besides, or until when nobody does: what whoever recorded it counts on. */
async function furtherWords(
  { ward }: Outcome,
  line: LineState,
  taken: Taken,
  names: Names,
  now: number,
): Promise<string> {
  const clock = (atMs: number) => clockText(ward.policy, atMs, now);
  const said: string[] = [];
  for (const { draft } of taken) {
    if (draft.kind === 'targetsSet') {
      const rest = restsWords(draft.body, ward.policy);
      said.push(
        `Until ${clock(draft.body.until)} readings are checked against these instead of the ward’s limits; then the ward’s limits apply again.${rest === '' ? '' : ` ${rest}.`}`,
      );
    }
    if (draft.kind === 'amended' && line.inError)
      said.push('Nothing recorded on it counts, and you won’t be asked about it again.');
    if (draft.kind === 'targetsEnded') said.push('The ward’s limits apply again.');
    if ((draft.kind === 'leftWard' || draft.kind === 'arrived') && line.away)
      said.push(
        line.away.with === null
          ? 'Nobody is named as having the patient, so the ward nurse is still reminded.'
          : `${await whoWords(nurseFor(ward, line, now), names)} gets the reminders until the patient is back.`,
      );
    if (draft.kind === 'returned') said.push(`With ${await whoWords(nurseFor(ward, line, now), names)}.`);
    if (draft.kind === 'claimed')
      said.push(`You have it until ${clock(draft.body.until)}; nobody is reminded of it before then.`);
    if (draft.kind === 'snoozed') said.push(`I’ll remind you at ${clock(draft.body.until)}.`);
    if (draft.kind === 'waived') {
      const { duty, until } = draft.body;
      const owed = dutiesOfLine(line, ward.policy, now).find(({ kind }) => kind === duty);
      const isLastWord = owed !== undefined && owed.expiresAt === owed.dueAt;
      said.push(isLastWord ? 'No more reminders about it.' : `Next reminder: ${clock(until)}.`);
    }
  }
  if (
    taken.some(
      ({ draft, entry, number }) =>
        isForClinicianAtOnce(draft, entry.at, line, ward.policy) || line.finding?.entry === number,
    ) &&
    isCalledNow(line, ward, now)
  ) {
    said.push(await calledWords(ward, taken, names, now));
  }
  if (taken.some((one) => isPassedOn(one, line, ward, now))) {
    const backup = backupAt(ward, now);
    const whom = backup === null ? 'The ward is' : `${await names.of(backup)} and the ward are`;
    said.push(`${whom} being told now.`);
  }
  return said.map((sentence) => ` ${sentence}`).join('');
}

/** Who is called for what was just recorded; where a direct message does not reach whoever is on call, who is in their place. */
async function calledWords(ward: WardState, taken: Taken, names: Names, now: number): Promise<string> {
  const onCall = onCallFor(ward, now);
  if (onCall === null) return 'Nobody is on call, so I’m telling the ward. Call a clinician yourself now.';
  const who = await whoWords(onCall, names);
  const called = calledAt(ward, now);
  if (called !== onCall.user)
    return `${who}, on call, can’t be reached by direct message, so ${called === null ? 'I’m telling the ward' : `I’m telling ${await names.of(called)}`}. Call them yourself now.`;
  if (taken.some(({ entry }) => entry.by === onCall.user))
    return 'You’re on call: the direct message you get has “I take it” and “Seen: ask again…”.';
  return `${who}, on call, is being told now.`;
}

/** Whether whoever is called for a danger said that they cannot see to it. */
function isPassedOn(
  { draft, entry: { by } }: Taken[number],
  line: LineState,
  ward: WardState,
  now: number,
): boolean {
  if (draft.kind !== 'noted' || draft.body.cannot === undefined || by !== calledAt(ward, now)) return false;
  const [cannot] = draft.body.cannot;
  return dutiesOfLine(line, ward.policy, now).some(
    (duty) => duty.kind === cannot && (dangerousFrom(duty, ward.policy) ?? Number.POSITIVE_INFINITY) <= now,
  );
}

/** Whether the clinician's look is owed now: what was recorded of a time before a later look may be no news. */
function isCalledNow(line: LineState, { policy }: WardState, now: number): boolean {
  return dutiesOfLine(line, policy, now).some(({ kind, dueAt }) => isClinicians(kind) && dueAt <= now);
}

/** What comes next, where that matters at the bedside. */
function next(line: LineState, { ward }: Outcome, taken: Taken, now: number): string {
  const duties = dutiesOfLine(line, ward.policy, now);
  const clock = (atMs: number) => clockText(ward.policy, atMs, now);
  const kinds = taken.map(({ draft }) => draft.kind);
  const found = foundWords(line, ward.policy, taken, now);
  if (found.length > 0) {
    // What takes several lines stands apart, and so does what comes after it.
    const apart = found.some((words) => words.includes('\n')) ? '\n' : ' ';
    return `${apart}${[...found, comesNext(duties, line, clock, now).trim()].filter((words) => words !== '').join(apart)}`;
  }
  if (kinds.includes('removed') && line.removed) {
    const hold = holdNext(line, ward.policy, duties.find(({ kind }) => kind === 'hold')?.dueAt, clock, now);
    const pulses = duties.filter(({ kind }) => kind.startsWith('pulse')).map(({ dueAt }) => clock(dueAt));
    const checks = pulses.length > 0 ? ` Pulse checks ${listed(pulses)}.` : '';
    return `${tipMissingWords(line)}${hold}${checks}${transferWords(line, ward.policy, clock, now)}`;
  }
  return comesNext(duties, line, clock, now);
}

/** How long to hold the puncture, and what comes then; recorded late, its end may be past. `endsAt`: ms. */
function holdNext(
  line: LineState,
  policy: WardPolicy,
  endsAt: number | undefined,
  clock: (atMs: number) => string,
  now: number,
): string {
  if (endsAt === undefined) return '';
  const held =
    endsAt > now
      ? `Hold pressure ${holdMinutes(line, policy)} min, until ${clock(endsAt)}; then look: does it ooze?`
      : 'Look at the puncture: does it ooze?';
  const risk = bleedingRisk(line) === null ? '' : ' Put a bandage on, and look again: it may bleed anew.';
  return ` ${held}${risk}`;
}

/** What a catheter that is not whole risks, and what to do now. */
export function tipMissingWords({ tipMissing, removed }: LineState): string {
  if (!tipMissing || removed?.reason === 'death') return '';
  return rich` *The catheter tip is not whole: a piece may be in the artery, and the blood may carry it on.* ${keepCatheterWords}.`;
}

/** A limb is followed up where its patient is: what whoever takes it over must hear. */
function transferWords(
  { removed }: LineState,
  policy: WardPolicy,
  clock: (atMs: number) => string,
  now: number,
): string {
  if (removed?.reason !== 'transfer') return '';
  const firstAt = removed.at + policy.pulseFirstH * hourMs;
  // Recorded late, its time may be past.
  const first = firstAt > now ? clock(firstAt) : 'now';
  const second = clock(removed.at + policy.pulseNextDayH * hourMs);
  return ` The limb is not followed up here: tell whoever takes the patient over to check the pulse below the site ${first} and ${second}.`;
}

/** What is due now, else what comes first. What was put off is due when that ends: an answer never asks for it at once. */
export function comesNext(
  duties: readonly Duty[],
  line: LineState,
  clock: (atMs: number) => string,
  now: number,
): string {
  const coming = duties
    .filter(({ kind }) => !isClinicians(kind))
    .map((duty) => ({ kind: duty.kind, at: Math.max(duty.dueAt, marksOn(line, duty).snoozed?.until ?? 0) }))
    .toSorted((a, b) => a.at - b.at);
  // A dwell warning is news, and nothing to do: the limit it warns of is said instead.
  const isWarned = coming.some(({ kind, at }) => kind === 'dwellWarning' && at <= now);
  const limit = isWarned ? coming.find(({ kind }) => kind === 'dwellLimit') : undefined;
  const limitAt = limit && limit.at > now ? ` Dwell limit ${clock(limit.at)}.` : '';
  const acts = coming.filter((one) => !(isWarned && one.kind === 'dwellWarning'));
  const atOnce = acts.filter(({ at }) => at <= now);
  if (atOnce.length > 0)
    return ` Due now: ${atOnce.map(({ kind }) => dutyName(kind, line)).join(', ')}.${limitAt}`;
  const first = acts.find((one) => one !== limit);
  return `${first ? ` Next: ${dutyName(first.kind, line)} ${clock(first.at)}.` : ''}${limitAt}`;
}
