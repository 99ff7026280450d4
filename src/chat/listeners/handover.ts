import { acceptHandover, handOver, standingHandover } from '../../app/hand-over.ts';
import { handoverPosts } from '../../app/handover-posts.ts';
import { readHandover } from '../../app/handover-record.ts';
import type { WardView } from '../../app/ports.ts';
import { practiceWardId } from '../../app/rehearsal/invented-line.ts';
import { owedLines } from '../../domain/duties/duties-of-line.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { coverOf, standInFor } from '../../domain/ward/cover.ts';
import { nurseFor } from '../../domain/ward/on-call.ts';
import { listed } from '../../wording/care/duty-words.ts';
import { clockText, lineWords } from '../../wording/care/line-words.ts';
import { forWhomWords, whoWords } from '../../wording/care/who-words.ts';
import { handoverSheet } from '../../wording/handover/handover-sheet.ts';
import type { ActionValue } from '../action-value.ts';
import { type Bot, type Caller, openView } from '../bot.ts';
import type { Sent } from '../form.ts';
import { readBackForm, readReadBackForm } from '../forms/read-back-form.ts';
import { handoverFileName } from '../messages/handover-files.ts';
import { foldWord } from '../typed/fold-words.ts';

const noLines = 'There is no arterial line on this ward, so there’s nothing to hand over.';

/** `/artline handover`: it answers in the channel; with `paper` the page comes to whoever asked. */
export async function handoverCommand(bot: Bot, caller: Caller, rest: string): Promise<void> {
  if (/^(?:on )?(?:paper|print|pdf)$/.test(foldWord(rest.trim()))) return handoverPaper(bot, caller);
  const view = await handOver(bot.deps, {
    wardId: caller.wardId,
    by: caller.user,
    via: 'command',
    once: caller.once,
  });
  return view === null ? caller.say(noLines) : undefined;
}

/** The same from the menu, where nobody sees the channel. */
export async function handOverPressed(bot: Bot, caller: Caller): Promise<void> {
  const view = await handOver(bot.deps, {
    wardId: caller.wardId,
    by: caller.user,
    via: 'button',
    once: caller.once,
  });
  return caller.say(view === null ? noLines : 'The handover is being posted in the channel.');
}

/** After this many ms somebody who waits hears that the page is being made. */
const sayAfterMs = 1_500;

/** The ward as it is now as a page to print, by direct message to whoever asked. */
export async function handoverPaper(bot: Bot, caller: Caller): Promise<void> {
  const { record, clock, watch } = bot.deps;
  if (caller.wardId === practiceWardId) return caller.say('In practice nothing is sent.');
  const now = clock.now();
  const view = await record.readWard(caller.wardId);
  const [post] = handoverPosts(view, now, now);
  if (!post || owedLines(view.lines, view.ward.policy, now).length === 0) return caller.say(noLines);
  const slow = setTimeout(() => {
    void caller.say('I’m making the page; it comes to you by direct message.').catch(() => undefined);
  }, sayAfterMs);
  try {
    const handover = await readHandover(record, caller.wardId, post);
    const sheet = await handoverSheet(handover, bot.names);
    const bytes = await bot.makePaper(sheet, now);
    await bot.posts.sendFile(
      caller.user,
      { name: handoverFileName('paper', handover), bytes },
      {
        title: `${sheet.title}: to print`,
        comment: `${sheet.title}: the ward as of ${clockText(view.ward.policy, now, now)}, to print and work from.`,
      },
    );
    await caller.say('The page is in a direct message from me to you. Open it there to print it.');
  } catch (cause) {
    watch.trouble('a handover on paper could not be sent', { user: caller.user }, cause);
    await caller.say(
      `The page couldn’t be sent to you. Try again in a minute, or print the handover from the channel: ${bot.command} handover.`,
    );
  } finally {
    clearTimeout(slow);
  }
}

/** One tap: the ward is taken over, and all of *Watch* was read. */
export async function acceptPressed(bot: Bot, caller: Caller, { f }: ActionValue): Promise<void> {
  if (f === undefined) return;
  return caller.say(await accept(bot, caller, { forMs: f, readBack: 'all', via: 'button' }));
}

/** The form that asks for a tick for each line to watch. */
export async function openReadBack(bot: Bot, caller: Caller, { f }: ActionValue): Promise<void> {
  const handover = f === undefined ? null : await standingHandover(bot.deps, caller.wardId, f);
  if (f === undefined || !handover) return caller.say(olderHandover(bot));
  return openView(bot, caller, readBackForm(caller.wardId, handover));
}

/** The form came back: the ward is taken over, and what was not ticked was not read back. */
export async function readBackSent(bot: Bot, caller: Caller, sent: Sent | null): Promise<string | null> {
  const read = readReadBackForm(sent);
  return read && accept(bot, caller, { ...read, via: 'form' });
}

function olderHandover({ command }: Bot): string {
  return `This is an older handover. Ask for a new one: ${command} handover.`;
}

/** Takes the ward over, and says to the caller what came of it. */
async function accept(
  bot: Bot,
  caller: Caller,
  { forMs, readBack, via }: { forMs: number; readBack: 'all' | readonly string[]; via: 'button' | 'form' },
): Promise<string> {
  const { deps, names } = bot;
  const result = await acceptHandover(
    deps,
    { wardId: caller.wardId, by: caller.user, via, once: caller.once },
    forMs,
    readBack,
  );
  switch (result.is) {
    case 'accepted':
      return (await acceptedWords(bot, caller, result.view)) + unreadWords(result.unread);
    case 'accepted before': {
      const ward = await deps.record.readWardState(caller.wardId);
      return `${await names.of(result.by)} accepted this handover ${clockText(ward.policy, result.at, deps.clock.now())}. To take the ward over now, ask for a new one: ${bot.command} handover.`;
    }
    case 'an older one':
      return olderHandover(bot);
  }
}

/** ` Not read back: Miso.`: as the channel shows it. */
function unreadWords(unread: readonly LineState[]): string {
  return unread.length === 0
    ? ''
    : ` Not read back: ${unread.map(({ patient }) => patient.name).join(', ')}.`;
}

/** Lines named of each nurse that has some already; more are counted. */
const mostNamed = 12;

/** What the ward's new nurse counts on: which lines were shared out before, and who is told while they are away. */
async function acceptedWords({ deps, names }: Bot, { user }: Caller, view: WardView): Promise<string> {
  const now = deps.clock.now();
  const { ward } = view;
  const shared = owedLines(view.lines, ward.policy, now).flatMap((line) => {
    const planned = line.plannedNurses.find(({ from }) => from > now);
    const whose = planned ? nurseFor(ward, line, planned.from) : nurseFor(ward, line, now);
    return (whose.insteadOf ?? whose.user) === user ? [] : [{ line, whose, from: planned?.from ?? null }];
  });
  const cover = coverOf(ward.covers, user, now);
  const away = cover
    ? ` You count as away until ${clockText(ward.policy, cover.until, now)}, and ${await names.of(standInFor(ward.covers, user, now))} gets your reminders. If that’s over: /artline cover, then “Back now”.`
    : '';
  const yours = 'You have the ward. Reminders of its lines go to you from now on';
  if (shared.length === 0) return `${yours}.${away}`;
  const groups = Map.groupBy(
    shared,
    ({ whose, from }) => `${from ?? ''} ${whose.user} ${whose.insteadOf ?? ''}`,
  );
  const each = await Promise.all(
    [...groups.values()].map(async (mine) => {
      const [first] = mine;
      if (!first) return '';
      const from = first.from === null ? '' : `from ${clockText(ward.policy, first.from, now)} `;
      const all = mine.map(({ line }) => lineWords(line)).sort();
      const more = all.length > mostNamed ? [`${all.length - mostNamed} more`] : [];
      const lines = [...all.slice(0, mostNamed), ...more];
      const isYours = first.whose.user === user;
      const who = isYours
        ? `you${await forWhomWords(first.whose, names)}`
        : await whoWords(first.whose, names);
      return `${from}${listed(lines)} with ${who}`;
    }),
  );
  return `${yours}, but for what was shared out already: ${each.join('; ')}.${away}`;
}
