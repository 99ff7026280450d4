import { recordOnLines } from '../../app/record-on-lines.ts';
import { usualDrafts } from '../../domain/duties/usual-drafts.ts';
import type { DutyKind } from '../../domain/duty-kind.ts';
import type { EntryDraft } from '../../domain/record/entry.ts';
import type { ActionValue } from '../action-value.ts';
import type { Bot, Caller } from '../bot.ts';
import { sayOutcome } from './say-outcome.ts';
import { refreshViews } from './show.ts';
import { sortAsked, staleWords } from './stale-press.ts';

/**
 * All that one visit does of several lines was done: told of what still waits; of the rest is said who recorded it. Each line
 * has entries of its own, in the order things are done at the bedside.
 */
export async function allDone(bot: Bot, caller: Caller, value: ActionValue): Promise<void> {
  const { deps } = bot;
  const now = deps.clock.now();
  const asked = Map.groupBy(value.e ?? [], ([lineId]) => lineId);
  const [ward, lines] = await Promise.all([
    deps.record.readWardState(caller.wardId),
    deps.record.readLines(caller.wardId, [...asked.keys()]),
  ]);
  const items: { lineId: string; draft: EntryDraft }[] = [];
  const said: string[] = [];
  for (const line of lines) {
    const d = (asked.get(line.id) ?? []).map(([, kind, dueAt]) => [kind, dueAt] as [DutyKind, number]);
    const { open, stale } = sortAsked(line, ward, { w: value.w, d }, now);
    for (const draft of usualDrafts(open.map(([kind]) => kind))) items.push({ lineId: line.id, draft });
    if (stale.length > 0) said.push(await staleWords(bot, line, ward, stale, now));
  }
  if (items.length > 0) {
    const intent = { wardId: caller.wardId, by: caller.user, via: 'button', once: caller.once } as const;
    await sayOutcome(bot, caller, await recordOnLines(deps, intent, items), said);
  } else {
    await caller.say(said.join('\n') || 'None of this is on record in this ward. Nothing was written.');
  }
  return refreshViews(bot, caller, null);
}
