import { recordOnLines } from '../../app/record-on-lines.ts';
import { dutiesOfLine } from '../../domain/duties/duties-of-line.ts';
import { nextUsual } from '../../domain/duties/next-usual.ts';
import { usualDrafts } from '../../domain/duties/usual-drafts.ts';
import { flushedJustNow } from '../../domain/fluid/flushed-just-now.ts';
import { laterMinOf } from '../../domain/policy/ward-policy.ts';
import type { EntryDraft } from '../../domain/record/entry.ts';
import { minuteMs } from '../../domain/time.ts';
import { type ActionValue, actionValue } from '../action-value.ts';
import { outcomeWords } from '../answers/outcome-words.ts';
import { withTakeBack } from '../answers/take-back.ts';
import { type Bot, type Caller, sayInPlace } from '../bot.ts';
import { buttonRow } from '../parts.ts';
import { allDone } from './all-done.ts';
import { postAudit } from './audit.ts';
import { cannotTapped } from './cannot.ts';
import { backPressed, takenBackPressed } from './cover.ts';
import { beginFault, faultPressed } from './fault.ts';
import { acceptPressed, handOverPressed, handoverPaper, openReadBack } from './handover.ts';
import { showMine } from './mine.ts';
import { recordMove } from './move.ts';
import { openForm } from './open-form.ts';
import { strikeTries } from './placing.ts';
import { risksPressed } from './risks.ts';
import { sayOutcome, yesPressed } from './say-outcome.ts';
import { refreshViews, showLine, showMenu, showRounds } from './show.ts';
import { sortAsked, staleWords } from './stale-press.ts';
import { recordStrip, stripChosen } from './strip.ts';
import { recordTip } from './tip.ts';
import { undoPressed, undoWardPressed } from './undo.ts';

/** What a press does, by the verb its action begins with. */
export async function onPress(bot: Bot, caller: Caller, action: string, value: ActionValue): Promise<void> {
  const [verb = '', what = '', , mode] = action.split(':');
  switch (verb) {
    case 'done':
      if (what === 'all') return allDone(bot, caller, value);
      if (what === 'round') return roundFlushed(bot, caller, value);
      if (what === 'strip') return recordStrip(bot, caller, value);
      if (what === 'audit') return postAudit(bot, caller, value);
      if (what === 'untried') return strikeTries(bot, caller, value);
      if (what === 'tip') return recordTip(bot, caller, value);
      if (what === 'there') return value.f ? takenBackPressed(bot, caller, value.f) : undefined;
      if (what === 'back') return value.v ? backPressed(bot, caller, value.v) : undefined;
      if (what === 'answer' || what === 'solved' || what === 'left')
        return faultPressed(bot, caller, what, value);
      if (what === 'arrived' || what === 'returned' || what === 'joined' || what === 'along')
        return recordMove(bot, caller, what, value);
      if (what === 'undo') return undoPressed(bot, caller, value);
      if (what === 'undoward') return undoWardPressed(bot, caller, value);
      if (what === 'again') return yesPressed(bot, caller, value);
      if (what === 'zero' && mode === 'first') return zeroedFirst(bot, caller, value);
      return what === 'needed' ? stillNeeded(bot, caller, value) : done(bot, caller, what, value);
    case 'later':
      return later(bot, caller, value);
    case 'claim':
      return claim(bot, caller, value);
    case 'accept':
      return acceptPressed(bot, caller, value);
    case 'earlier':
      return openForm(bot, caller, 'earlier', value);
    case 'cannot':
      if (what === 'why') return cannotTapped(bot, caller, value);
      return openForm(bot, caller, 'cannot', value);
    case 'open':
      if (what === 'strip') return stripChosen(bot, caller, value);
      if (what === 'card') return value.l ? showLine(bot, caller, value.l) : undefined;
      if (what === 'round') return showRounds(bot, caller);
      if (what === 'handover')
        return mode === 'paper' ? handoverPaper(bot, caller) : handOverPressed(bot, caller);
      if (what === 'readback') return openReadBack(bot, caller, value);
      if (what === 'mine') return showMine(bot, caller);
      if (what === 'menu') return showMenu(bot, caller);
      if (what === 'risks') return risksPressed(bot, caller, value, mode === 'paper');
      if (what === 'fault') return faultOpened(bot, caller, value, mode === 'choose');
      return openForm(bot, caller, what, value);
    default:
      return caller.say(olderVersion);
  }
}

/** What is recorded of a new line after zero and level. */
export function testButton(wardId: string, lineId: string) {
  return {
    action: `open:test:${lineId}`,
    text: 'Fast-flush test…',
    value: actionValue({ w: wardId, l: lineId, v: 'test' }),
  };
}

const olderVersion =
  'This button is from an older version and does nothing any more. Type /artline for the menu.';

async function faultOpened(bot: Bot, caller: Caller, value: ActionValue, choose: boolean): Promise<void> {
  const line = value.l ? await bot.deps.record.readLine(caller.wardId, value.l) : null;
  if (!line) return caller.say('This line isn’t on this ward’s record. Nothing was written.');
  return beginFault(bot, caller, line, { sign: value.q?.[0], choose, via: 'button' });
}

async function done(bot: Bot, caller: Caller, what: string, value: ActionValue): Promise<void> {
  const { deps } = bot;
  const now = deps.clock.now();
  const lineId = value.l;
  if (!lineId) return;
  if (value.d === undefined) {
    // The card's own buttons: recorded as they are, due or not.
    if (what !== 'flush' && what !== 'zero') return caller.say(olderVersion);
    return recordAndAnswer(bot, caller, lineId, usualDrafts([what]));
  }
  const [ward, line] = await Promise.all([
    deps.record.readWardState(caller.wardId),
    deps.record.readLine(caller.wardId, lineId),
  ]);
  if (!line) return caller.say('This line isn’t on this ward’s record. Nothing was written.');
  const { open, stale } = sortAsked(line, ward, value, now);
  const usual = usualDrafts(open.map(([kind]) => kind));
  const oozing: EntryDraft = { kind: 'holdEnded', body: { oozing: true } };
  const drafts = what === 'oozing' && usual.length > 0 ? [oozing] : usual;
  if (drafts.length > 0) {
    const skipped = stale.length > 0 ? [await staleWords(bot, line, ward, stale, now)] : [];
    return recordAndAnswer(bot, caller, lineId, drafts, skipped);
  }
  // Flushed by another just now: whoever gave a second flush is asked, as from the card.
  const isSecond = stale.length === 1 && stale[0] === 'flush' && flushedJustNow(line, ward.policy, now);
  if (isSecond && !line.removed) return recordAndAnswer(bot, caller, lineId, usualDrafts(['flush']));
  await caller.say(await staleWords(bot, line, ward, stale, now));
  return refreshViews(bot, caller, lineId);
}

/** Zeroed for the first time, from the answer to registering: its buttons make room for what is still to be done. */
async function zeroedFirst(bot: Bot, caller: Caller, { l }: ActionValue): Promise<void> {
  const { deps, names } = bot;
  if (!l) return;
  const outcome = await recordOnLines(
    deps,
    { wardId: caller.wardId, by: caller.user, via: 'button', once: caller.once },
    usualDrafts(['zero']).map((draft) => ({ lineId: l, draft })),
  );
  const now = deps.clock.now();
  const text = await outcomeWords(outcome, names, now);
  const line = outcome.lines.get(l);
  const asksTest =
    line &&
    dutiesOfLine(line, outcome.ward.policy, now).some(({ kind, dueAt }) => kind === 'test' && dueAt <= now);
  const parts = asksTest ? [buttonRow(`placed:${l}`, [testButton(caller.wardId, l)])] : [];
  await sayInPlace(caller, text, withTakeBack(text, outcome, parts));
}

async function recordAndAnswer(
  bot: Bot,
  caller: Caller,
  lineId: string,
  drafts: readonly EntryDraft[],
  also: readonly string[] = [],
): Promise<void> {
  const outcome = await recordOnLines(
    bot.deps,
    { wardId: caller.wardId, by: caller.user, via: 'button', once: caller.once },
    drafts.map((draft) => ({ lineId, draft })),
  );
  await sayOutcome(bot, caller, outcome, also);
  await refreshViews(bot, caller, lineId);
}

/** Every line of a round was flushed: as `allDone`, of the flush alone. */
function roundFlushed(bot: Bot, caller: Caller, value: ActionValue): Promise<void> {
  const e = (value.a ?? []).map(([lineId, dueAt]): [string, 'flush', number] => [lineId, 'flush', dueAt]);
  return allDone(bot, caller, { ...value, e });
}

async function later(bot: Bot, caller: Caller, value: ActionValue): Promise<void> {
  const { deps } = bot;
  const ward = await deps.record.readWardState(caller.wardId);
  const duties = value.d ?? [];
  const lineId = value.l;
  if (!lineId || duties.length === 0) return;
  const minutes = Math.min(...duties.map(([kind]) => laterMinOf(ward.policy, kind)));
  return recordAndAnswer(bot, caller, lineId, [
    { kind: 'snoozed', body: { duties, until: deps.clock.now() + minutes * minuteMs } },
  ]);
}

async function claim(bot: Bot, caller: Caller, value: ActionValue): Promise<void> {
  const { deps } = bot;
  const ward = await deps.record.readWardState(caller.wardId);
  const duties = value.d ?? [];
  if (!value.l || duties.length === 0) return;
  return recordAndAnswer(bot, caller, value.l, [
    { kind: 'claimed', body: { duties, until: deps.clock.now() + ward.policy.claimMin * minuteMs } },
  ]);
}

/** A clinician's answer to "still needed?": asked again after the policy's hours. */
async function stillNeeded(bot: Bot, caller: Caller, value: ActionValue): Promise<void> {
  const { deps } = bot;
  const [ward, line] = await Promise.all([
    deps.record.readWardState(caller.wardId),
    value.l ? deps.record.readLine(caller.wardId, value.l) : null,
  ]);
  const asked = value.d?.find(([kind]) => kind === 'stillNeeded');
  if (!line || !asked) return;
  const until = nextUsual(line, ward.policy, 'stillNeeded', deps.clock.now());
  return recordAndAnswer(bot, caller, line.id, [
    { kind: 'waived', body: { duty: 'stillNeeded', dueAt: asked[1], reason: 'still needed', until } },
  ]);
}
