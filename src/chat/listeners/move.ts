import { recordOnLines } from '../../app/record-on-lines.ts';
import { awayByAnother } from '../../domain/away/away.ts';
import type { EntryDraft } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { ActionValue } from '../action-value.ts';
import type { Bot, Caller } from '../bot.ts';
import { joinedAgain } from '../verbs/join-transducer.ts';
import { sayOutcome } from './say-outcome.ts';
import { refreshViews } from './show.ts';

/** One tap: the patient has arrived, or is back on the ward, or away with this line as well; or the line is on its transducer again. */
export async function recordMove(
  bot: Bot,
  caller: Caller,
  what: 'arrived' | 'returned' | 'joined' | 'along',
  { l }: ActionValue,
): Promise<void> {
  const { deps } = bot;
  const line = l ? await deps.record.readLine(caller.wardId, l) : null;
  if (!line) return caller.say('This line isn’t on this ward’s record. Nothing was written.');
  const draft = draftOf(what, line);
  if (!draft)
    return caller.say(
      what === 'joined'
        ? 'The line is on a transducer already. Nothing was written.'
        : 'That was recorded already, or the patient is back. Nothing was written.',
    );
  const outcome = await recordOnLines(
    deps,
    { wardId: caller.wardId, by: caller.user, via: 'button', once: caller.once },
    [{ lineId: line.id, draft }],
  );
  await sayOutcome(bot, caller, outcome);
  await refreshViews(bot, caller, line.id);
}

function draftOf(what: 'arrived' | 'returned' | 'joined' | 'along', line: LineState): EntryDraft | null {
  if (what === 'joined') return joinedAgain(line);
  if (what !== 'along') return { kind: what, body: {} };
  const away = awayByAnother(line)?.away;
  if (!away) return null;
  return { kind: 'leftWard', body: { to: away.to, ...(away.with === null ? {} : { with: away.with }) } };
}
