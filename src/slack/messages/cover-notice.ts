import type { Post, WardView } from '../../app/ports.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { coverOf, standInFor } from '../../domain/ward/cover.ts';
import { shorten } from '../limits.ts';
import type { Names } from '../names.ts';
import { clockText, lineWords } from '../wording/line-words.ts';
import { type MessageBody, section } from './blocks.ts';

/** Lines named in the message to a nurse who is given them; more are counted. */
const mostNamed = 30;
const longestText = 2_900;

function said(text: string, settled = true): MessageBody {
  return { text: shorten(text, longestText), blocks: [section(text)], settled };
}

/** How a cover is ended before its time. */
export const backWords = 'Back early? /artline cover, then “Back now”.';

/** To the ward: who is away, who stands in, who said so. */
export async function coverMessage(
  { about, at }: Post,
  { ward }: WardView,
  names: Names,
): Promise<MessageBody> {
  const [away, by, setBy] = await Promise.all(
    [about?.user, about?.by, about?.setBy].map((user) => names.of(user ?? 'bot')),
  );
  const until = clockText(ward.policy, about?.to ?? at, at);
  return said(
    `${away} is away until ${until}. ${by} stands in, set by ${setBy}, and is reminded and called instead.`,
  );
}

/** To whoever stands in, and to whoever is away: for as long as it holds, and what it was when it is over. */
export async function standInMessage(
  { about, at, to }: Post,
  { ward }: WardView,
  names: Names,
  now: number,
): Promise<MessageBody> {
  const [away, by, setBy] = await Promise.all(
    [about?.user, about?.by, about?.setBy].map((user) => names.of(user ?? 'bot')),
  );
  const until = clockText(ward.policy, about?.to ?? at, at);
  const where = `<#${ward.id.split('.')[1]}>`;
  const stands = coverOf(ward.covers, about?.user ?? '', now);
  const holds = stands !== undefined && stands.at === at && stands.by === about?.by;
  const isAway = to !== 'ward' && to.user === about?.user;
  if (isAway)
    return holds
      ? said(`${by} stands in for you in ${where} until ${until}, set by ${setBy}. ${backWords}`, false)
      : said(`${by} stood in for you in ${where}. That is over: you are reminded and called again.`);
  return holds
    ? said(
        `You stand in for ${away} in ${where} until ${until}, set by ${setBy}: you are reminded and called instead.`,
        false,
      )
    : said(`You stood in for ${away} in ${where}. That is over.`);
}

/** Somebody's cover was ended: to the ward, to whoever stood in and to whoever was away. */
export async function backMessage(
  { about, at, to }: Post,
  { ward }: WardView,
  names: Names,
): Promise<MessageBody> {
  const [back, setBy] = await Promise.all([about?.user, about?.setBy].map((user) => names.of(user ?? 'bot')));
  const clock = clockText(ward.policy, at, at);
  if (to !== 'ward' && to.user === about?.user)
    return said(
      `You count as back in <#${ward.id.split('.')[1]}> since ${clock}, told by ${setBy}: you are reminded and called again. If you are still away: /artline cover.`,
    );
  return said(`${back} is back since ${clock}, told by ${setBy}, and is reminded and called again.`);
}

/**
 * To a nurse: lines that somebody else gave them. Until the shift begins for which they were given, what was given to
 * somebody else since is said as well.
 */
export async function givenMessage(
  { about, at, to }: Post,
  { ward, lines }: WardView,
  names: Names,
  now: number,
): Promise<MessageBody> {
  const nurse = to === 'ward' ? '' : to.user;
  const start = about?.for;
  const since = start ?? at;
  const cover = coverOf(ward.covers, nurse, since);
  const standIn = cover && (await names.of(standInFor(ward.covers, nurse, since)));
  const hears = cover
    ? `You count as away until ${clockText(ward.policy, cover.until, at)}: ${standIn} is reminded for you. ${backWords}`
    : 'Reminders come to you.';
  const ordered = lines.toSorted((a, b) => a.patient.name.localeCompare(b.patient.name, 'en'));
  const isGone = ({ plannedNurses }: LineState) =>
    start !== undefined && plannedNurses.some((planned) => planned.from === start && planned.nurse !== nurse);
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
  const elsewhere = gone.length === 0 ? '' : ` Given to somebody else since: ${few(gone)}.`;
  return said(
    `${count} with you in <#${ward.id.split('.')[1]}> ${from}${by}.${named.length === 0 ? '' : ` ${hears}`}${elsewhere}`,
    start === undefined || now >= start,
  );
}

function few(named: readonly string[]): string {
  const more = named.length > mostNamed ? `, and ${named.length - mostNamed} more` : '';
  return `${named.slice(0, mostNamed).join(', ')}${more}`;
}
