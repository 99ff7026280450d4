import { backPosts, calledOffPosts, coverSetPosts } from '../../app/cover-posts.ts';
import { recordOnWard } from '../../app/record-on-ward.ts';
import type { EntryHead } from '../../domain/record/entry.ts';
import { shiftAt } from '../../domain/shifts/shift-calendar.ts';
import { coversFrom, mostCovers, standInFor } from '../../domain/ward/cover.ts';
import { isOnCall } from '../../domain/ward/on-call.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { coverTimeWords } from '../../wording/care/cover-time-words.ts';
import { clockText } from '../../wording/care/line-words.ts';
import { rich } from '../../wording/rich-text.ts';
import { sayOfWard } from '../answers/take-back.ts';
import { type Bot, type Caller, openView, updateView } from '../bot.ts';
import { type FormErrors } from '../form.ts';
import { coverForm, timeProblems } from '../forms/cover-form.ts';
import { isOnWard } from '../membership.ts';
import { namedFault } from '../named-person.ts';
import { coverFromWords } from '../typed/cover-words.ts';

/** Sets or ends a cover as typed, or opens the form. */
export async function coverCommand(bot: Bot, caller: Caller, rest: string): Promise<void> {
  const ward = await bot.deps.record.readWardState(caller.wardId);
  const now = bot.deps.clock.now();
  const { shifts } = ward.policy;
  const read = coverFromWords(rest, { now, zone: shifts.zone }, bot.command);
  switch (read.is) {
    case 'wrong':
      return caller.say(`Nothing was changed. ${read.message}`);
    case 'form':
      return openCover(bot, caller, read.away);
    case 'back':
      return (await endCover(bot, caller, { away: read.away }, 'command'))();
    case 'ok': {
      const until = read.until ?? shiftAt(shifts, read.from ?? now).endMs;
      const result = await setCover(bot, caller, { ...read, until }, 'command');
      if ('errors' in result) return caller.say(Object.values(result.errors).join(' '));
      return result.say();
    }
  }
}

/** Opens the form: covers that stand or are to come, and one more. */
export async function openCover(bot: Bot, caller: Caller, away?: string): Promise<void> {
  return openView(bot, caller, await coverPage(bot, caller, away));
}

async function coverPage(bot: Bot, caller: Caller, away?: string) {
  const ward = await bot.deps.record.readWardState(caller.wardId);
  const now = bot.deps.clock.now();
  const { names } = bot;
  return coverForm({
    wardId: caller.wardId,
    standing: await Promise.all(
      coversFrom(ward.covers, now).map(async (cover) => ({
        away: cover.away,
        number: cover.number,
        name: await names.of(cover.away),
        words: rich`*${await names.of(cover.away)}* ${cover.from > now ? 'will be' : 'is'} away ${coverTimeWords(ward.policy, cover, now)}; ${await names.of(cover.by)} stands in.`,
        isToCome: cover.from > now,
      })),
    ),
    away,
    until: shiftAt(ward.policy.shifts, now).endMs,
  });
}

/** What a cover came to: how to say so, or what is wrong, by the form's question. */
type CoverSet = { say: () => Promise<void> } | { errors: FormErrors };

/** Who, by whom, from when (ms; null: now) and until when. */
interface CoverAsked {
  away: string;
  by: string;
  from: number | null;
  until: number;
}

/** Has one person stand in for another for a time. Anybody on the ward may say so, as of who is on call. */
export async function setCover(
  bot: Bot,
  caller: Caller,
  { away, by, from, until }: CoverAsked,
  via: EntryHead['via'],
): Promise<CoverSet> {
  const { deps, names } = bot;
  const now = deps.clock.now();
  const ward = await deps.record.readWardState(caller.wardId);
  const problems = Object.entries(timeProblems({ from, until }, { now, zone: ward.policy.shifts.zone }));
  if (problems.length > 0)
    return { errors: Object.fromEntries(problems.map(([id, text]) => [id, `Not set: ${text}`])) };
  if (by === bot.userId) return { errors: { by: 'Not set: I can’t cover for anybody. Choose a person.' } };
  if (away === bot.userId) return { errors: { away: 'Not set: I’m never away. Choose a person.' } };
  const fault = by === away ? null : await namedFault(bot, caller.wardId, by);
  if (fault !== null) return { errors: { by: `Not set: ${fault}` } };
  // A clinician need not be in the channel to be on call; whoever has lines must be, to record anything of them.
  const isClinician =
    isOnCall(ward, away, now) ||
    isOnCall(ward, away, from ?? now) ||
    [...ward.policy.clinicians, ...Object.values(ward.policy.rota)].includes(away);
  if (!isClinician && !(await isOnWard(bot.membership, caller.wardId, by))) {
    const name = await names.of(by);
    return {
      errors: {
        by: `Not set: ${name} isn’t in this channel and couldn’t record anything. Invite them first, or choose somebody else.`,
      },
    };
  }
  const later = from !== null && from > now ? { from } : {};
  const result = await recordOnWard(
    deps,
    { wardId: caller.wardId, by: caller.user, via, once: caller.once },
    { kind: 'coverSet', body: { away, by, ...later, until } },
    (view) => view.ward.covers.filter(({ number }) => number === view.ward.version).flatMap(coverSetPosts),
    ({ covers }) => coversFrom(covers, deps.clock.now()).length < mostCovers,
  );
  switch (result.is) {
    case 'not taken':
      return {
        errors: {
          away: `Not set: ${mostCovers} covers are already set. End one you don’t need first.`,
        },
      };
    case 'repeat':
      return {
        say: async () => caller.say(`${await names.of(by)} already covers for ${await names.of(away)}.`),
      };
    case 'taken':
      return {
        say: async () => {
          const { ward: after } = result.view;
          return sayOfWard(caller, await coverSetWords(bot, after, result.before), after, 'covers');
        },
      };
  }
}

/** What the cover recorded last came to, and what became of those set before. */
async function coverSetWords({ names }: Bot, ward: WardState, before: WardState): Promise<string> {
  const cover = ward.covers.find(({ number }) => number === ward.version);
  if (!cover) return 'It was set and is already over.';
  const { away, by, from, at } = cover;
  const { policy } = ward;
  const [awayName, byName] = [await names.of(away), await names.of(by)];
  const again = from > at ? ` now, and ${byName} and the channel again when it begins` : '';
  const said = [
    `${byName} covers for ${awayName} ${coverTimeWords(policy, cover, at)}. I’m telling both of them and the channel${again}.`,
  ];
  const last = standInFor(ward.covers, by, from);
  if (last !== by) said.push(`${byName} is away too: reminders go to ${await names.of(last)}.`);
  for (const old of coversFrom(before.covers, at)) {
    const left = ward.covers.find(({ number }) => number === old.number);
    if (left?.until === old.until) continue;
    const [who, whose] = [await names.of(old.by), await names.of(old.away)];
    if (old.from > at && !left)
      said.push(`Taken back: ${who} for ${whose} ${coverTimeWords(policy, old, at)}.`);
    else if (old.away === by)
      said.push(
        `${byName} counts as back${left ? ` from ${clockText(policy, left.until, at)}` : ''}: ${who} no longer covers there.`,
      );
    else if (left)
      said.push(
        `Until then ${who} covers, as set before; from ${clockText(policy, cover.until, at)} ${awayName} gets the reminders and calls again.`,
      );
    else if (old.by !== by) said.push(`${who} no longer covers there.`);
  }
  return said.join(' ');
}

/**
 * Somebody is there: ends the cover of theirs that stands; where none does, takes back the next one to come, or the one of
 * that number. Gives how to say what came of it.
 */
async function endCover(
  bot: Bot,
  caller: Caller,
  whose: { away: string } | { number: number },
  via: EntryHead['via'],
): Promise<() => Promise<void>> {
  const { deps, names } = bot;
  const now = deps.clock.now();
  const said = (words: string) => () => caller.say(words);
  const endedIn = ({ covers }: WardState) =>
    coversFrom(covers, now).find((cover) =>
      'number' in whose ? cover.number === whose.number : cover.away === whose.away,
    );
  const ward = await deps.record.readWardState(caller.wardId);
  const ended = endedIn(ward);
  if (!ended)
    return said(
      'away' in whose
        ? `Nobody covers for ${await names.of(whose.away)}; nothing was changed.`
        : 'That cover is over or has been changed; nothing was changed.',
    );
  const { away, from, until } = ended;
  const isToCome = from > now;
  const result = await recordOnWard(
    deps,
    { wardId: caller.wardId, by: caller.user, via, once: caller.once },
    { kind: 'coverSet', body: { away, by: away, ...(isToCome ? { from, until } : { until: now }) } },
    (_view, at) => (isToCome ? calledOffPosts : backPosts)(ended, caller.user, at),
    (latest) => endedIn(latest)?.number === ended.number,
  );
  if (result.is === 'not taken')
    return said(
      'Somebody changed that cover in the meantime; nothing was changed. Look again: /artline cover.',
    );
  const name = await names.of(away);
  const ends = isToCome
    ? `${name} is in ${coverTimeWords(ward.policy, ended, now)} after all; ${await names.of(ended.by)} isn’t needed to cover. I’m telling both of them and the channel.`
    : `${name} is back and gets the reminders and calls again. I’m telling both of them and the channel.`;
  const others = coversFrom(result.view.ward.covers, now).filter((cover) => cover.away === away);
  const left = await Promise.all(
    others.map(
      async (cover) => `${await names.of(cover.by)} still covers ${coverTimeWords(ward.policy, cover, now)}.`,
    ),
  );
  const after = result.is === 'taken' ? result.view.ward : null;
  return () => sayOfWard(caller, [ends, ...left].join(' '), after, 'covers');
}

/** “Back now” in the form: the cover ends and the form shows those that are left. */
export async function backPressed(bot: Bot, caller: Caller, away: string): Promise<void> {
  return endPressed(bot, caller, { away });
}

/** “Take back” in the form, by the cover's number: it does not begin, and the form shows those that are left. */
export async function takenBackPressed(bot: Bot, caller: Caller, number: number): Promise<void> {
  return endPressed(bot, caller, { number });
}

async function endPressed(
  bot: Bot,
  caller: Caller,
  whose: { away: string } | { number: number },
): Promise<void> {
  const say = await endCover(bot, caller, whose, 'button');
  if (caller.inView) await updateView(bot, caller.inView.id, await coverPage(bot, caller));
  return say();
}
