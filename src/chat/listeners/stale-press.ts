import { dutyStatus, lastClearing } from '../../domain/duties/duty-status.ts';
import { type DutyKind, isClinicians } from '../../domain/duty-kind.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { minuteMs } from '../../domain/time.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { dutyName, listed } from '../../wording/care/duty-words.ts';
import { clockText, lineWords } from '../../wording/care/line-words.ts';
import { inErrorWords } from '../../wording/refusals/refusal-words.ts';
import type { ActionValue } from '../action-value.ts';
import type { Bot } from '../bot.ts';

/** Which of the asked duties still wait; a press on an old message must not write down what was done long since. */
export function sortAsked(
  line: LineState,
  ward: WardState,
  value: ActionValue,
  now: number,
): { open: [DutyKind, number][]; stale: DutyKind[] } {
  const soon = now + ward.policy.roundMin * minuteMs;
  const open: [DutyKind, number][] = [];
  const stale: DutyKind[] = [];
  for (const [kind, dueAt] of value.d ?? []) {
    const status = dutyStatus(line, ward.policy, { lineId: line.id, kind, dueAt }, soon, now);
    if (status.is === 'open') open.push([kind, dueAt]);
    else stale.push(kind);
  }
  return { open, stale };
}

/** Why a press on an old message writes nothing: the line is out, or who did it and when. */
export async function staleWords(
  bot: Bot,
  line: LineState,
  ward: WardState,
  stale: readonly DutyKind[],
  now: number,
): Promise<string> {
  if (line.inError) return inErrorWords(line.inError, line, ward, bot.names, now);
  const afterRemoval: readonly DutyKind[] = ['finding', 'hold', 'pulse', 'pulseNextDay'];
  if (line.removed && !stale.every((kind) => afterRemoval.includes(kind))) {
    return `Not recorded: ${lineWords(line)} was taken out ${clockText(ward.policy, line.removed.at, now)} by ${await bot.names.of(line.removed.by)}.`;
  }
  const each = await Promise.all(
    stale.map(async (kind) => {
      const status = dutyStatus(line, ward.policy, { lineId: line.id, kind, dueAt: 0 }, 0, now);
      const latest = isClinicians(kind) ? null : lastClearing(line, kind);
      const done = status.is === 'done' ? (latest ?? status.done) : null;
      return done
        ? `${dutyName(kind, line)} was recorded ${clockText(ward.policy, done.at, now)} by ${await bot.names.of(done.by)}`
        : `${dutyName(kind, line)} isn’t due`;
    }),
  );
  return `Nothing recorded for ${lineWords(line)}: ${listed(each)}. If you did it again, record it from the card or with ${bot.command}.`;
}
