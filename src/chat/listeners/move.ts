import { recordOnLines } from '../../app/record-on-lines.ts';
import type { EntryDraft } from '../../domain/record/entry.ts';
import type { ActionValue } from '../action-value.ts';
import type { Bot, Caller } from '../bot.ts';
import { joinedAgain } from '../verbs/join-transducer.ts';
import { sayOutcome } from './say-outcome.ts';
import { refreshViews } from './show.ts';

/** One tap: the patient has arrived, or is back on the ward, or the line is on its transducer again. */
export async function recordMove(
  bot: Bot,
  caller: Caller,
  what: 'arrived' | 'returned' | 'joined',
  { l }: ActionValue,
): Promise<void> {
  const { deps } = bot;
  const line = l ? await deps.record.readLine(caller.wardId, l) : null;
  if (!line) return caller.say('This line isn’t on this ward’s record. Nothing was written.');
  const draft: EntryDraft | null = what === 'joined' ? joinedAgain(line) : { kind: what, body: {} };
  if (!draft) return caller.say('The line is on a transducer already. Nothing was written.');
  const outcome = await recordOnLines(
    deps,
    { wardId: caller.wardId, by: caller.user, via: 'button', once: caller.once },
    [{ lineId: line.id, draft }],
  );
  await sayOutcome(bot, caller, outcome);
  await refreshViews(bot, caller, line.id);
}
