import type { Post, WardView } from '../../app/ports.ts';
import { isClinicians } from '../../domain/duty-kind.ts';
import { isOvertaken } from '../../domain/handover/overtaken.ts';
import { calledAt, leadAt } from '../../domain/ladder/people.ts';
import { callsBeforeBackup } from '../../domain/ladder/steps.ts';
import { onCallFor } from '../../domain/ward/on-call.ts';
import { isUnreached } from '../../domain/ward/unreached.ts';
import { listed } from '../../wording/care/duty-words.ts';
import { clockText, lineWords } from '../../wording/care/line-words.ts';
import { whoWords } from '../../wording/care/who-words.ts';
import type { Names } from '../../wording/names.ts';
import { rich } from '../../wording/rich-text.ts';
import { quoted, sizeOf } from '../../wording/shorten.ts';
import { type Message, paragraph, paragraphs } from '../parts.ts';
import {
  areSettled,
  type Item,
  isOpen,
  itemsOf,
  itemText,
  keptForAmendmentsMs,
  lateWords,
  type OpenItem,
  repeatedAt,
} from './asked-items.ts';
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
  if (anewAt !== null) return replaced('Nobody was on call', 'said again', anewAt, { post, view, now });
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

/** Whoever is on call was told three times and did not answer, or said that they cannot. */
export async function nobodyAnsweredMessage(
  post: Post,
  view: WardView,
  names: Names,
  now: number,
): Promise<Message> {
  const { items, saidAgainAt } = standingItems(post, view, now);
  const open = items.filter(isOpen).filter(({ status }) => status.claimed === undefined);
  const whom = post.about?.user ? await names.of(post.about.user) : 'The clinician on call';
  if (open.length === 0) {
    const text = `Settled: ${whom} hadn’t taken it by ${clockText(view.ward.policy, post.at, now)}.`;
    return { lead: text, parts: [paragraph(text)], settled: areSettled(items, post, view, now) };
  }
  if (saidAgainAt !== null)
    return replaced(`${whom} hadn’t taken it by`, 'said again', saidAgainAt, { post, view, now });
  // Who was told, and not who is named: the backup may be whoever said that they can't, or be reached by nobody.
  const behind = open.map(({ line, asked }) => line.marks[asked.kind]?.backup?.user);
  const told = [...new Set(behind)].filter((user) => user !== undefined && user !== post.about?.user);
  const toldNames = await Promise.all(told.map((user) => names.of(user ?? '')));
  const backupWords =
    told.length === 0 ? '' : ` ${listed(toldNames)} ${told.length === 1 ? 'has' : 'have'} been told now.`;
  const head = `${whom} ${whyNotTaken(open, post)}.${backupWords} Ring a clinician now:`;
  const late = lateLines(open, post, view);
  return {
    lead: `${head} ${late.join('. ')}.`,
    parts: [paragraph(rich`*${head}*`), ...paragraphs(late.map((text) => `• ${text}`))],
    settled: false,
  };
}

/** Why whoever is on call has not taken what is open. */
function whyNotTaken(open: readonly OpenItem[], { about }: Post): string {
  const own = open.map(({ status }) => (status.cannot?.by === about?.user ? status.cannot : undefined));
  const [first] = own;
  if (own.every((cannot) => cannot !== undefined && cannot.reason === first?.reason))
    return `can’t see to it: ${quoted(first?.reason ?? '')}`;
  // Taken back, “I can't come” leaves the others told of what its clinician was told once.
  const isUnanswered = open.every(({ line, asked }) => {
    const { user, times = callsBeforeBackup } = line.marks[asked.kind]?.clinician ?? {};
    return user !== about?.user || times >= callsBeforeBackup;
  });
  if (isUnanswered && own.every((cannot) => cannot === undefined)) return 'hasn’t answered three messages';
  return open.length === 1 ? 'hasn’t taken this' : 'hasn’t taken these';
}

/** A direct message could not be delivered. */
export async function unreachedMessage(
  post: Post,
  view: WardView,
  names: Names,
  now: number,
): Promise<Message> {
  const { items, saidAgainAt } = standingItems(post, view, now);
  const open = items.filter(isOpen);
  const whom = post.about?.user ? await names.of(post.about.user) : 'The clinician';
  if (post.asked.length === 0) {
    const instead =
      post.about?.text === 'given'
        ? 'give the lines to somebody else: /artline assign'
        : ['stands in', 'back', 'cover over', 'called off'].includes(post.about?.text ?? '')
          ? 'have somebody else cover: /artline cover'
          : 'set somebody else: /artline oncall @name';
    const text = `${whom} could NOT be reached by direct message and wouldn’t hear what’s late. Call them yourself now, or ${instead}.`;
    return { lead: text, parts: [paragraph(rich`*${text}*`)], settled: true };
  }
  if (open.length === 0) {
    const text = `Settled: ${whom} could not be reached by direct message.`;
    return { lead: text, parts: [paragraph(text)], settled: areSettled(items, post, view, now) };
  }
  if (saidAgainAt !== null)
    return replaced(`${whom} couldn’t be reached at`, 'tried again', saidAgainAt, { post, view, now });
  const next = calledInstead(post, view, now);
  const then = next === null ? 'Call them yourself now.' : `${await names.of(next)} is told instead.`;
  const text = `${whom} could NOT be reached by direct message. ${waitsWords(open, 'Late')}: ${lateLines(open, post, view).join('. ')}. ${then}`;
  return { lead: text, parts: [paragraph(rich`*${text}*`)], settled: false };
}

/** A notice that a newer one replaces. It isn't kept up to date for long: a bad night would leave dozens to rewrite at each change. */
function replaced(
  what: string,
  again: string,
  againAt: number,
  { post, view, now }: { post: Post; view: WardView; now: number },
): Message {
  const clock = (atMs: number) => clockText(view.ward.policy, atMs, now);
  const text = `${what} ${clock(post.at)}; ${again} ${clock(againAt)}.`;
  const settled = now - post.at >= keptForAmendmentsMs;
  return { lead: text, parts: [paragraph(text)], settled, superseded: true };
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
  const head = `The bot was down from ${clock(post.about?.for ?? post.at)} to ${clock(post.about?.to ?? post.at)}; nobody was reminded.`;
  const missed = texts.length === 0 ? 'Nothing came due.' : 'What came due, as it stands now:';
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
  const isOver = isOvertaken(view.ward, forMs);
  const text = accepted
    ? `The handover for ${clock} was accepted ${clockText(view.ward.policy, accepted.at, now)}.`
    : isOver
      ? `Nobody accepted the handover for ${clock}; a newer one took its place.`
      : `Nobody has accepted the handover for ${clock} yet. If you have the ward now, press “Accept” at its end: its reminders then come to you.`;
  return { lead: text, parts: [paragraph(text)], settled: Boolean(accepted) || isOver };
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

/** Any sentence made elsewhere. */
export function plainNotice(post: Post): Message {
  const text = post.about?.text ?? '';
  return { lead: text, parts: [paragraph(text)], settled: true };
}
