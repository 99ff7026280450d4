import type { Post, WardView } from '../../app/ports.ts';
import { takeBackMs } from '../../app/take-back.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { coverOf, standInFor } from '../../domain/ward/cover.ts';
import { coverTimeWords } from '../../wording/care/cover-time-words.ts';
import { clockText, lineWords } from '../../wording/care/line-words.ts';
import type { Names } from '../../wording/names.ts';
import { place } from '../../wording/rich-text.ts';
import { shorten } from '../../wording/shorten.ts';
import { type Message, paragraph } from '../parts.ts';
import { channelOf } from '../ward-id.ts';

/** Lines named in the message to a nurse who is given them; more are counted. */
const mostNamed = 30;
const longestText = 2_900;

function said(text: string, settled = true): Message {
  return { lead: shorten(text, longestText), parts: [paragraph(text)], settled };
}

/** How a cover is ended before its time. */
export const backWords = 'Back early? /artline cover, then “Back now”.';

/** What a post says of its cover, with the people named. */
async function coverFacts({ about, at }: Post, { ward }: WardView, names: Names) {
  const [away, by, setBy] = await Promise.all(
    [about?.user, about?.by, about?.setBy].map((user) => names.of(user ?? 'bot')),
  );
  const cover = ward.covers.find(({ number }) => number === about?.cover);
  const time = { from: about?.from ?? at, until: about?.to ?? at };
  return {
    away,
    by,
    setBy,
    cover,
    where: place(channelOf(ward.id)),
    /** When it holds, as it was recorded. */
    timeWords: coverTimeWords(ward.policy, time, at),
    isToCome: time.from > at,
  };
}

/** To the ward: who is or will be away, who stands in, who said so. */
export async function coverMessage(post: Post, view: WardView, names: Names): Promise<Message> {
  const { away, by, setBy, timeWords, isToCome } = await coverFacts(post, view, names);
  return said(
    isToCome
      ? `${away} will be away ${timeWords}. ${by} covers, set by ${setBy}, and gets the reminders and calls.`
      : `${away} is away ${timeWords}. ${by} covers, set by ${setBy}, and gets the reminders and calls.`,
  );
}

/** To whoever stands in, and to whoever is away: for as long as it holds, and what it was when it is over. */
export async function standInMessage(
  post: Post,
  view: WardView,
  names: Names,
  now: number,
): Promise<Message> {
  const { away, by, setBy, where, cover, timeWords } = await coverFacts(post, view, names);
  const isAway = post.to !== 'ward' && post.to.user === post.about?.user;
  if (!cover || now >= cover.until) {
    // Taken back, or another cover took its place, before it began.
    const begins = post.about?.from ?? post.at;
    if (now < begins)
      return said(
        isAway
          ? `${by} was going to cover for you in ${where} ${timeWords}. That’s been cancelled.`
          : `You were going to cover for ${away} in ${where} ${timeWords}. That’s been cancelled.`,
      );
    return said(
      isAway
        ? `${by} covered for you in ${where}. That’s over: you’ll get the reminders and calls again.`
        : `You covered for ${away} in ${where}. That’s over.`,
    );
  }
  const time = coverTimeWords(view.ward.policy, cover, post.at);
  const takeBack = cover.from > now ? 'In after all? /artline cover, then “Take back”.' : backWords;
  const instead = cover.from > now ? 'then you get' : 'you get';
  return said(
    isAway
      ? `${by} covers for you in ${where} ${time}, set by ${setBy}. ${takeBack}`
      : `You cover for ${away} in ${where} ${time}, set by ${setBy}: ${instead} their reminders and calls.`,
    false,
  );
}

/** To whoever was away: their cover is over by its own time. */
export async function coverOverMessage(
  post: Post,
  view: WardView,
  names: Names,
  now: number,
): Promise<Message> {
  const { by, where } = await coverFacts(post, view, names);
  const text = `${by} covered for you in ${where} until ${clockText(view.ward.policy, post.about?.to ?? post.at, post.at)}. That’s over: you’ll get the reminders and calls again. Still away? /artline cover.`;
  const isAwayAgain = coverOf(view.ward.covers, post.about?.user ?? '', now) !== undefined;
  return { ...said(text), superseded: isAwayAgain };
}

/** A cover was taken back before it began: to the ward, to whoever was to stand in and to whoever was to be away. */
export async function calledOffMessage(post: Post, view: WardView, names: Names): Promise<Message> {
  const { away, by, setBy, where, timeWords } = await coverFacts(post, view, names);
  if (post.to === 'ward')
    return said(`${away} is in ${timeWords} after all, says ${setBy}: ${by} isn’t needed to cover.`);
  return said(
    post.to.user === post.about?.user
      ? `${by} won’t cover for you in ${where} ${timeWords}, says ${setBy}: you’ll get the reminders and calls. Away after all? /artline cover.`
      : `You don’t need to cover for ${away} in ${where} ${timeWords}, says ${setBy}.`,
  );
}

/** Somebody's cover was ended: to the ward, to whoever stood in and to whoever was away. */
export async function backMessage(
  { about, at, to }: Post,
  { ward }: WardView,
  names: Names,
): Promise<Message> {
  const [back, setBy] = await Promise.all([about?.user, about?.setBy].map((user) => names.of(user ?? 'bot')));
  const clock = clockText(ward.policy, at, at);
  if (to !== 'ward' && to.user === about?.user)
    return said(
      `${setBy} says you’ve been back in ${place(channelOf(ward.id))} since ${clock}, so you’ll get the reminders and calls again. Still away? /artline cover.`,
    );
  return said(`${back} has been back since ${clock}, says ${setBy}, and gets the reminders and calls again.`);
}

/**
 * To a nurse: lines that somebody else gave them. While that may be taken back, and until the shift begins for which they
 * were given, what is with somebody else since is said as well.
 */
export async function givenMessage(
  { about, at, to }: Post,
  { ward, lines }: WardView,
  names: Names,
  now: number,
): Promise<Message> {
  const nurse = to === 'ward' ? '' : to.user;
  const start = about?.for;
  const since = start ?? at;
  const cover = coverOf(ward.covers, nurse, since);
  const standIn = cover && (await names.of(standInFor(ward.covers, nurse, since)));
  const hears = cover
    ? `You count as away until ${clockText(ward.policy, cover.until, at)}: ${standIn} is reminded for you. ${backWords}`
    : 'Reminders come to you.';
  const ordered = lines.toSorted((a, b) => a.patient.name.localeCompare(b.patient.name, 'en'));
  const isGone = (line: LineState) =>
    start === undefined
      ? line.nurse !== nurse
      : line.plannedNurses.find((planned) => planned.from === start)?.nurse !== nurse;
  const named = ordered.filter((line) => !isGone(line)).map((line) => lineWords(line));
  const gone = ordered.filter(isGone).map((line) => lineWords(line));
  const count =
    named.length === 0
      ? 'No arterial line is'
      : named.length === 1
        ? 'An arterial line is'
        : `${named.length} arterial lines are`;
  const from = start === undefined ? 'now' : `from ${clockText(ward.policy, start, at)}`;
  const by = named.length === 0 ? '' : `, given by ${await names.of(about?.user ?? 'bot')}: ${few(named)}`;
  const elsewhere = gone.length === 0 ? '' : ` No longer with you: ${few(gone)}.`;
  return said(
    `${count} with you in ${place(channelOf(ward.id))} ${from}${by}.${named.length === 0 ? '' : ` ${hears}`}${elsewhere}`,
    // For a while it may be taken back.
    now >= Math.max(start ?? at, at + takeBackMs),
  );
}

function few(named: readonly string[]): string {
  const more = named.length > mostNamed ? `, and ${named.length - mostNamed} more` : '';
  return `${named.slice(0, mostNamed).join(', ')}${more}`;
}
