import type { Post, WardView } from '../../app/ports.ts';
import { isClinicians } from '../../domain/duty-kind.ts';
import { calledAt, leadAt } from '../../domain/ladder/people.ts';
import { standInFor } from '../../domain/ward/cover.ts';
import { onCallFor, type Responsible } from '../../domain/ward/on-call.ts';
import { isUnreached } from '../../domain/ward/unreached.ts';
import type { Names } from '../names.ts';
import { type Message, paragraph, paragraphs } from '../parts.ts';
import { place, rich } from '../rich-text.ts';
import { sizeOf } from '../room.ts';
import { quoted } from '../shorten.ts';
import { channelOf } from '../ward-id.ts';
import { clockText, lineWords } from '../wording/line-words.ts';
import { cautionsWords } from '../wording/screening-words.ts';
import { whoWords } from '../wording/who-words.ts';
import { areSettled, type Item, isOpen, itemsOf, itemText, lateWords, repeatedAt } from './asked-items.ts';
import { backWords } from './cover-notice.ts';
import { byLine } from './nudge.ts';
import { standingItems } from './standing-items.ts';

/** Characters of what is late in one notice, with air for what it says besides: an update takes 4,000 (chat.update). */
const lateWordsMax = 3_400;

/** Nobody is on call and something is late: said to the whole ward, loudly, until somebody is. */
export async function nobodyOnCallMessage(
  post: Post,
  view: WardView,
  names: Names,
  now: number,
): Promise<Message> {
  const { items } = standingItems(post, view, now);
  const open = items.filter(isOpen);
  const user = onCallFor(view.ward, now);
  const isCalled = calledAt(view.ward, now) !== null;
  if (open.length === 0 || isCalled) {
    const onCallNow = user === null || !isCalled ? '' : ` On call now: ${await whoWords(user, names)}.`;
    const text =
      open.length === 0
        ? `Settled: nobody had been on call.${onCallNow}`
        : `Nobody had been on call.${onCallNow}`;
    return { lead: text, parts: [paragraph(text)], settled: areSettled(items, post, view, now) };
  }
  const anewAt = repeatedAt(open, post);
  if (anewAt !== null) {
    const clock = (atMs: number) => clockText(view.ward.policy, atMs, now);
    const text = `Nobody was on call ${clock(post.at)}; said again ${clock(anewAt)}.`;
    return { lead: text, parts: [paragraph(text)], settled: false, superseded: true };
  }
  const who =
    user === null
      ? 'NOBODY IS ON CALL.'
      : `NOBODY CAN BE CALLED: ${await whoWords(user, names)} is on call and can’t be reached by direct message.`;
  const head = `${who} ${waitsWords(open, 'This is late')}:`;
  const call = 'Call a clinician yourself now, then set who is on call: /artline oncall @name.';
  const late = lateLines(open, post, view);
  return {
    lead: `${head} ${late.join('. ')}. ${call}`,
    parts: [
      paragraph(rich`*${head}*`),
      ...paragraphs(late.map((text) => `• ${text}`)),
      paragraph(rich`*${call}*`),
    ],
    settled: false,
  };
}

/** Whoever is on call was told three times and did not answer. */
export async function nobodyAnsweredMessage(
  post: Post,
  view: WardView,
  names: Names,
  now: number,
): Promise<Message> {
  const { items, saidAgainAt } = standingItems(post, view, now);
  const open = items.filter((item) => isOpen(item) && item.status.claimed === undefined);
  const whom = post.about?.user ? await names.of(post.about.user) : 'The clinician on call';
  if (open.length === 0) {
    const text = `Settled: ${whom} hadn't answered at ${clockText(view.ward.policy, post.at, now)}.`;
    return { lead: text, parts: [paragraph(text)], settled: areSettled(items, post, view, now) };
  }
  if (saidAgainAt !== null) {
    const clock = (atMs: number) => clockText(view.ward.policy, atMs, now);
    const text = `${whom} hadn’t answered at ${clock(post.at)}; said again ${clock(saidAgainAt)}.`;
    return { lead: text, parts: [paragraph(text)], settled: false, superseded: true };
  }
  const { backup } = view.ward.policy;
  const backupWords = backup === null ? '' : ` ${await names.of(backup)} has been told now.`;
  const head = `${whom} hasn’t answered three messages.${backupWords} Ring a clinician now:`;
  const late = lateLines(open, post, view);
  return {
    lead: `${head} ${late.join('. ')}.`,
    parts: [paragraph(rich`*${head}*`), ...paragraphs(late.map((text) => `• ${text}`))],
    settled: false,
  };
}

/** A direct message could not be delivered. */
export async function unreachedMessage(
  post: Post,
  view: WardView,
  names: Names,
  now: number,
): Promise<Message> {
  const { items } = standingItems(post, view, now);
  const open = items.filter(isOpen);
  const whom = post.about?.user ? await names.of(post.about.user) : 'The clinician';
  if (post.asked.length === 0) {
    const instead =
      post.about?.text === 'given'
        ? 'give the lines to somebody else: /artline assign'
        : ['stands in', 'back', 'cover over', 'called off'].includes(post.about?.text ?? '')
          ? 'have somebody else cover: /artline cover'
          : 'set somebody else: /artline oncall @name';
    const text = `${whom} could NOT be reached by direct message and would not hear of what is late. Call them yourself now, or ${instead}.`;
    return { lead: text, parts: [paragraph(rich`*${text}*`)], settled: true };
  }
  if (open.length === 0) {
    const text = `Settled: ${whom} could not be reached by direct message.`;
    return { lead: text, parts: [paragraph(text)], settled: areSettled(items, post, view, now) };
  }
  const next = calledInstead(post, view, now);
  const then = next === null ? 'Call them yourself now.' : `${await names.of(next)} is told instead.`;
  const text = `${whom} could NOT be reached by direct message. ${waitsWords(open, 'Late')}: ${lateLines(open, post, view).join('. ')}. ${then}`;
  return { lead: text, parts: [paragraph(rich`*${text}*`)], settled: false };
}

/** Whom the ladder tells in the place of somebody whom no direct message reaches; null where that is nobody. */
function calledInstead({ about }: Post, { ward }: WardView, now: number): string | null {
  if (about?.user === undefined || !isUnreached(ward, about.user, now)) return null;
  if (about.text === 'clinician' || about.text === 'questions') return calledAt(ward, now);
  return about.text === 'nurse' ? leadAt(ward, now) : null;
}

/** What a list of waiting duties is; `late` where it is not the clinician's own alone. */
function waitsWords(open: readonly Item[], late: string): string {
  return open.every(({ asked }) => isClinicians(asked.kind)) ? 'A clinician must see this now' : late;
}

/** The bot was down: from when to when, and what came due meanwhile. */
export async function wasDownMessage(
  post: Post,
  view: WardView,
  names: Names,
  now: number,
): Promise<Message> {
  const clock = (atMs: number) => clockText(view.ward.policy, atMs, now);
  const items = itemsOf(post, view, now);
  const texts = await Promise.all(
    [...byLine(items)].map(async ([line, mine]) => {
      const each = await Promise.all(mine.map((item) => itemText(item, view, names, now)));
      return `${lineWords(line)}: ${each.map((text) => text.slice(2).replace(/\.$/, '')).join('; ')}`;
    }),
  );
  const head = `The bot was down from ${clock(post.about?.for ?? post.at)} to ${clock(post.about?.to ?? post.at)}; nobody was reminded in that time.`;
  const missed =
    texts.length === 0 ? 'Nothing came due meanwhile.' : 'What came due meanwhile, as it stands now:';
  return {
    lead: `${head} ${missed}`,
    parts: [paragraph(rich`*${head}* ${missed}`), ...paragraphs(texts.map((text) => `• ${text}`))],
    settled: areSettled(items, post, view, now),
  };
}

/** Nobody took the ward over after the shift began. */
export function unacceptedMessage(post: Post, view: WardView, now: number): Message {
  const forMs = post.about?.for ?? post.at;
  const accepted = view.ward.handovers.find((one) => one.for === forMs)?.accepted;
  const clock = clockText(view.ward.policy, forMs, now);
  const text = accepted
    ? `The handover for ${clock} was accepted ${clockText(view.ward.policy, accepted.at, now)}.`
    : `Nobody has accepted the handover for ${clock} yet. If you have the ward now, press “Accept the handover” at its end: its reminders then come to you.`;
  return { lead: text, parts: [paragraph(text)], settled: Boolean(accepted) };
}

/** To whoever was put on call: what that means here, for as long as they are. */
export async function onCallMessage(post: Post, view: WardView, names: Names, now: number): Promise<Message> {
  const by = await names.of(post.about?.user ?? 'bot');
  const onCall = onCallFor(view.ward, now);
  const isTheirs = post.to !== 'ward' && (onCall?.insteadOf ?? onCall?.user) === post.to.user;
  if (post.to !== 'ward' && !isTheirs && onCall?.user !== post.to.user) {
    const text = `You were on call for the arterial lines of ${wardPlace(view)} from ${clockText(view.ward.policy, post.at, now)}, set by ${by}. ${await onCallNow(onCall, names)}`;
    return { lead: text, parts: [paragraph(text)], settled: true };
  }
  if (onCall?.insteadOf && isTheirs) {
    const text = `You are on call for the arterial lines of ${wardPlace(view)}, set by ${by}, and away: ${await names.of(onCall.user)} is told for you. ${backWords}`;
    return { lead: text, parts: [paragraph(text)], settled: false };
  }
  const instead = onCall?.insteadOf ? ` for ${await names.of(onCall.insteadOf)}, who is away,` : '';
  const text = `You are on call${instead} for the arterial lines of ${wardPlace(view)} now, set by ${by}. Overdue duties, findings and line faults come to you here. “I take it” keeps the next reminder off for ${view.ward.policy.claimMin} min.`;
  const isOlder = (view.ward.onCallSet?.at ?? 0) > post.at;
  return { lead: text, parts: [paragraph(text)], settled: isOlder };
}

/** To the ward: who was put on call, and by whom. */
export async function onCallSetMessage(post: Post, { ward }: WardView, names: Names): Promise<Message> {
  const set = post.about?.text ?? 'bot';
  const user = standInFor(ward.covers, set, post.at);
  const who = await whoWords({ user, insteadOf: user === set ? null : set }, names);
  const text = `On call now: ${who}, set by ${await names.of(post.about?.user ?? 'bot')}.`;
  // Where it waited until another was set, it is no news any more.
  const superseded = (ward.onCallSet?.at ?? 0) > post.at;
  return { lead: text, parts: [paragraph(text)], settled: true, superseded };
}

/** To the ward: who was put on call is not, since that was taken back, and who is. */
export async function onCallBackMessage(
  { about, at }: Post,
  { ward }: WardView,
  names: Names,
): Promise<Message> {
  const [by, set] = await Promise.all([names.of(about?.user ?? 'bot'), names.of(about?.text ?? 'bot')]);
  const text = `${by} took back that ${set} is on call. ${await onCallNow(onCallFor(ward, at), names)}`;
  return { lead: text, parts: [paragraph(text)], settled: true };
}

/** To whoever was on call until somebody else was set. */
export async function offCallMessage(
  post: Post,
  view: WardView,
  names: Names,
  now: number,
): Promise<Message> {
  const by = await names.of(post.about?.user ?? 'bot');
  const at = clockText(view.ward.policy, post.at, now);
  const isOnCallAgain = post.to !== 'ward' && onCallFor(view.ward, now)?.user === post.to.user;
  const text = `You are no longer on call for the arterial lines of ${wardPlace(view)} since ${at}, by ${by}. ${await onCallNow(onCallFor(view.ward, now), names)}`;
  return { lead: text, parts: [paragraph(text)], settled: true, superseded: isOnCallAgain };
}

async function onCallNow(who: Responsible | null, names: Names): Promise<string> {
  return who === null ? 'Nobody is on call now.' : `On call now: ${await whoWords(who, names)}.`;
}

function wardPlace({ ward }: WardView): string {
  return place(channelOf(ward.id));
}

/** The ward's policy was changed: who did it, and the numbers that matter most now. */
export async function policyMessage(post: Post, { ward }: WardView, names: Names): Promise<Message> {
  const { policy } = ward;
  const by = await names.of(post.about?.user ?? 'bot');
  const shifts = policy.shifts.shifts.map(({ name, startsAt }) => `${name} ${startsAt}`).join(', ');
  const text =
    `${by} ${post.about?.text === 'taken back' ? 'took the latest change of the ward policy back' : 'changed the ward policy'}. Shifts ${shifts} (${policy.shifts.zone}). Flush by hand every ${policy.flushEveryMin} min, ` +
    `redress every ${policy.redressEveryH} h, site and limb every ${policy.siteCheckEveryH} h, ` +
    `cat’s dwell: warning ${policy.catDwellWarningH} h, limit ${policy.catDwellLimitH} h.` +
    // Whose learning curves are seen by somebody must know by whom.
    (policy.lead === null
      ? ''
      : ` Ward lead, who sees everybody’s learning curve: ${await names.of(policy.lead)}.`);
  return { lead: text, parts: [paragraph(text)], settled: true };
}

/**
 * To the clinician whom somebody else named as having decided to place a line, or to leave it in, in spite of a caution.
 */
export async function decidedMessage(post: Post, view: WardView, names: Names): Promise<Message> {
  const line = view.lines.find(({ id }) => id === post.lines[0]);
  const by = await names.of(post.about?.user ?? 'bot');
  const screening = line?.screening;
  const isLater = line !== undefined && post.at > line.knownSince;
  const where = wardPlace(view);
  const did = isLater
    ? `put the cautions of ${lineWords(line)} on ${where} right`
    : `registered ${line ? lineWords(line) : 'a line'} on ${where}`;
  const text =
    line && screening?.override
      ? `${by} ${did} and names you as the clinician who decided to ${isLater ? 'leave it in' : 'place it'} (${cautionsWords(screening)}): ${quoted(screening.override.reason)}. If you did not decide this, call the ward now: the line is in.`
      : `${by} named you as having decided to place a line on ${where}. It is not on record any more.`;
  return { lead: text, parts: [paragraph(text)], settled: true };
}

/** To the clinician on call: a caution was found once the line was in, and the ward wants a decision on it. */
export async function toDecideMessage(post: Post, view: WardView, names: Names): Promise<Message> {
  const line = view.lines.find(({ id }) => id === post.lines[0]);
  const by = await names.of(post.about?.user ?? 'bot');
  const undecided = line && !line.removed && !line.inError ? line.screening?.undecided : undefined;
  const text =
    line && undecided
      ? `${by} recorded a reason against ${lineWords(line)} on ${wardPlace(view)}, which is in: ${undecided.join(', ')}. The ward wants a clinician’s decision: leave it in, or have it taken out? Left in, it is recorded with /artline amend, the placing: who decided and why.`
      : `${line ? lineWords(line) : 'A line'} on ${wardPlace(view)}: decided since, or taken out.`;
  return { lead: text, parts: [paragraph(text)], settled: !undecided };
}

/** Any sentence made elsewhere. */
export function plainNotice(post: Post): Message {
  const text = post.about?.text ?? '';
  return { lead: text, parts: [paragraph(text)], settled: true };
}

/** What is late, a line of text for each line as far as a notice has room; the rest by their number. */
function lateLines(open: readonly Item[], post: Post, view: WardView): string[] {
  const all = [...byLine(open)].map(
    ([line, mine]) => `${lineWords(line)}: ${lateWords(mine, post.at, view)}`,
  );
  let left = lateWordsMax;
  const named = all.filter((words) => (left -= sizeOf(words) + 2) >= 0);
  const more = all.length - named.length;
  return more === 0
    ? named
    : [...named, `and ${more} more ${more === 1 ? 'line' : 'lines'}: /artline due shows them`];
}
