import { noticePost } from '../../app/notice-post.ts';
import type { Post } from '../../app/ports.ts';
import { tellWard } from '../../app/tell-ward.ts';
import { coverFromWords } from '../../app/words/cover-words.ts';
import type { EntryHead } from '../../domain/record/entry.ts';
import { shiftAt } from '../../domain/shifts/shift-calendar.ts';
import { type Cover, coverOf, mostCovers, standInFor } from '../../domain/ward/cover.ts';
import { isOnCall } from '../../domain/ward/on-call.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { type Bot, type Caller, openView, updateView } from '../bot.ts';
import { coverForm, endProblem } from '../forms/cover-form.ts';
import type { FormErrors } from '../forms/view-state.ts';
import { isOnWard } from '../membership.ts';
import { escaped, unescaped } from '../text.ts';
import { clockText } from '../wording/line-words.ts';

/** Sets or ends a cover as typed, or opens the form. */
export async function coverCommand(bot: Bot, caller: Caller, rest: string): Promise<void> {
  const ward = await bot.deps.record.readWardState(caller.wardId);
  const now = bot.deps.clock.now();
  const { shifts } = ward.policy;
  const told = coverFromWords(rest, { now, zone: shifts.zone }, bot.command);
  switch (told.is) {
    case 'wrong':
      return caller.say(`Nothing was changed. ${escaped(told.message)}`);
    case 'form':
      return openCover(bot, caller, told.away);
    case 'back':
      return caller.say(await endCover(bot, caller, told.away, 'command'));
    case 'told': {
      const until = told.until ?? shiftAt(shifts, now).endMs;
      const result = await setCover(bot, caller, { ...told, until }, 'command');
      if ('errors' in result) return caller.say(Object.values(result.errors).map(escaped).join(' '));
      return caller.say(await result.words());
    }
  }
}

/** Opens the form: covers that stand, and one more. */
export async function openCover(bot: Bot, caller: Caller, away?: string): Promise<void> {
  return openView(bot, caller, await coverPage(bot, caller, away));
}

async function coverPage(bot: Bot, caller: Caller, away?: string) {
  const ward = await bot.deps.record.readWardState(caller.wardId);
  const now = bot.deps.clock.now();
  const { names } = bot;
  const standing = ward.covers.filter(({ until }) => until > now);
  return coverForm({
    wardId: caller.wardId,
    standing: await Promise.all(
      standing.map(async (cover) => ({
        away: cover.away,
        name: unescaped(await names.of(cover.away)),
        words: `*${await names.of(cover.away)}* is away until ${clockText(ward.policy, cover.until, now)}; ${await names.of(cover.by)} stands in.`,
      })),
    ),
    away,
    until: shiftAt(ward.policy.shifts, now).endMs,
  });
}

/** What a cover came to: how to say so, or what is wrong, by the form's block ids. */
type CoverSet = { words: () => Promise<string> } | { errors: FormErrors };

/** Has one person stand in for another until an instant (ms). Anybody on the ward may say so, as of who is on call. */
export async function setCover(
  bot: Bot,
  caller: Caller,
  { away, by, until }: Pick<Cover, 'away' | 'by' | 'until'>,
  via: EntryHead['via'],
): Promise<CoverSet> {
  const { deps, names } = bot;
  const now = deps.clock.now();
  const ward = await deps.record.readWardState(caller.wardId);
  const problem = endProblem(until, now, ward.policy.shifts.zone);
  if (problem !== null) return { errors: { until: `Not set: ${problem}` } };
  if (by === bot.userId)
    return { errors: { by: 'Not set: I cannot stand in for anybody. Choose a person.' } };
  if (away === bot.userId) return { errors: { away: 'Not set: I am never away. Choose a person.' } };
  // A clinician need not be in the channel to be on call; whoever has lines must be, to tell anything of them.
  const isClinician =
    isOnCall(ward, away, now) ||
    [...ward.policy.clinicians, ...Object.values(ward.policy.rota)].includes(away);
  if (!isClinician && !(await isOnWard(bot.membership, caller.wardId, by))) {
    const name = unescaped(await names.of(by));
    return {
      errors: {
        by: `Not set: ${name} is not in this channel and could tell nothing of a line. Invite them first, or choose somebody else.`,
      },
    };
  }
  const told = await tellWard(
    deps,
    { wardId: caller.wardId, by: caller.user, via, once: caller.once },
    { kind: 'coverSet', body: { away, by, until } },
    (_view, at) => coverPosts({ away, by, until, setBy: caller.user, at }),
    ({ covers }) => covers.filter((one) => one.until > deps.clock.now()).length < mostCovers,
  );
  if (told.is === 'not taken')
    return {
      errors: { away: `Not set: ${mostCovers} people are away already. End a cover that is over first.` },
    };
  return { words: () => coverSetWords(bot, told.view.ward, ward, { away, by, until }) };
}

async function coverSetWords(
  { deps, names }: Bot,
  ward: WardState,
  before: WardState,
  { away, by, until }: Pick<Cover, 'away' | 'by' | 'until'>,
): Promise<string> {
  const now = deps.clock.now();
  const said = [
    `${await names.of(by)} stands in for ${await names.of(away)} until ${clockText(ward.policy, until, now)}. Both and the channel are told.`,
  ];
  const last = standInFor(ward.covers, by, now);
  if (last !== by)
    said.push(`${await names.of(by)} is away too: what is asked goes to ${await names.of(last)}.`);
  const wasAway = coverOf(before.covers, by, now);
  if (wasAway && last === by)
    said.push(
      `${await names.of(by)} counts as back: ${await names.of(wasAway.by)} no longer stands in there.`,
    );
  return said.join(' ');
}

/** Ends somebody's cover: they are back. Says what came of it. */
async function endCover(bot: Bot, caller: Caller, away: string, via: EntryHead['via']): Promise<string> {
  const { deps, names } = bot;
  const now = deps.clock.now();
  const name = await names.of(away);
  const stands = (ward: WardState) => coverOf(ward.covers, away, deps.clock.now());
  const told = await tellWard(
    deps,
    { wardId: caller.wardId, by: caller.user, via, once: caller.once },
    { kind: 'coverSet', body: { away, by: away, until: now } },
    (_view, at, before) => backPosts(away, stands(before)?.by, caller.user, at),
    (ward) => stands(ward) !== undefined,
  );
  if (told.is === 'not taken') return `Nobody stands in for ${name}; nothing was changed.`;
  return `${name} is back, and is reminded and called again. Both and the channel are told.`;
}

/** "Back now" in the form: the cover ends and the form shows those that stand. */
export async function backPressed(bot: Bot, caller: Caller, away: string): Promise<void> {
  const words = await endCover(bot, caller, away, 'button');
  if (caller.inView) await updateView(bot, caller.inView.id, await coverPage(bot, caller));
  return caller.say(words);
}

/** To the ward, to whoever stands in and to whoever is away; not to whoever set it, who is answered. */
function coverPosts({ away, by, until, setBy, at }: Cover): Post[] {
  const about = { user: away, by, setBy, to: until };
  return [
    noticeOf('cover', 'ward', at, about),
    ...[by, away]
      .filter((user) => user !== setBy)
      .map((user) => noticeOf(user === by ? 'stands in' : 'covered', { user }, at, about)),
  ];
}

function backPosts(away: string, by: string | undefined, setBy: string, at: number): Post[] {
  const about = { user: away, setBy };
  return [
    noticeOf('back', 'ward', at, about),
    ...[...(by === undefined ? [] : [by]), away]
      .filter((user) => user !== setBy)
      .map((user) => noticeOf('back', { user }, at, about)),
  ];
}

function noticeOf(
  what: string,
  to: Post['to'],
  at: number,
  about: Omit<NonNullable<Post['about']>, 'what'>,
): Post {
  const whose = to === 'ward' ? 'ward' : to.user;
  const key = `2.cover.${at.toString(36)}.${what.replace(' ', '')}.${about.user ?? ''}.${whose}`;
  return noticePost(key, to, at, { what, ...about });
}
