import { type TakenBack, takeBack, takeBackMs } from '../../app/take-back.ts';
import { dutiesOfLine } from '../../domain/duties/duties-of-line.ts';
import { minuteMs } from '../../domain/duties/duty.ts';
import type { ActionValue } from '../action-value.ts';
import { tellingWords } from '../answers/entry-words.ts';
import { comesNext } from '../answers/outcome-words.ts';
import { refusalWords } from '../answers/refusal-words.ts';
import { putRightButton } from '../answers/take-back.ts';
import { type Bot, type Caller, sayInPlace } from '../bot.ts';
import { actions, section } from '../messages/blocks.ts';
import { escaped } from '../text.ts';
import { listed } from '../wording/duty-words.ts';
import { clockText, lineWords } from '../wording/line-words.ts';

/** Takes back all that one answer said was recorded, and says so in its place. */
export async function undoPressed(bot: Bot, caller: Caller, { k = [] }: ActionValue): Promise<void> {
  const { wardId, user, once } = caller;
  const wanted = k.map(([lineId, from, count]) => ({ lineId, from, count }));
  const result = await takeBack(bot.deps, { wardId, by: user, via: 'button', once }, wanted);
  switch (result.is) {
    case 'taken back': {
      const words = await takenBackWords(bot, result);
      const [first] = result.entries;
      const isNone = result.outcome.told.every(({ is }) => is === 'refused');
      if (!isNone || !first) return sayInPlace(caller, words);
      return caller.say(words, [
        section(words),
        actions('right', [putRightButton(wardId, first.lineId, first.number)]),
      ]);
    }
    case 'struck before': {
      const by = result.by === user ? '' : ` by ${await bot.names.of(result.by)}`;
      return caller.say(
        `Already taken back${by}, ${await clockOf(bot, caller, result.at)}. It no longer counts.`,
      );
    }
    case 'too late': {
      const { lineId, number, entry } = result.first;
      const text = `Too late to take back with a tap: it was recorded ${await clockOf(bot, caller, entry.told)}, more than ${takeBackMs / minuteMs} min ago. “Put something right” strikes it out or corrects it.`;
      return caller.say(text, [section(text), actions('right', [putRightButton(wardId, lineId, number)])]);
    }
    case 'not theirs':
      return caller.say(
        'Only the person who recorded it can take it back here. Anybody can use “Put something right”.',
      );
  }
}

async function clockOf({ deps }: Bot, { wardId }: Caller, atMs: number): Promise<string> {
  const { policy } = await deps.record.readWardState(wardId);
  return clockText(policy, atMs, deps.clock.now());
}

/** What counts no more of each line, and what is due of it again. */
async function takenBackWords(
  { deps, names }: Bot,
  { entries, outcome }: TakenBack & { is: 'taken back' },
): Promise<string> {
  const now = deps.clock.now();
  const { ward, lines, told } = outcome;
  const clock = (atMs: number) => clockText(ward.policy, atMs, now);
  const said: string[] = [];
  for (const [lineId, mine] of Map.groupBy(entries, (one) => one.lineId)) {
    const line = lines.get(lineId);
    if (!line) continue;
    const refused = told.find((one) => one.lineId === lineId && one.is === 'refused');
    if (refused?.is === 'refused') {
      said.push(await refusalWords(refused.refusal, line, ward, names, now));
      continue;
    }
    if (line.inError) {
      said.push(
        `Taken back: ${lineWords(line)} counts as registered in error. There is no such line now, and nothing more is asked of it.`,
      );
      continue;
    }
    const what = listed(mine.map(({ entry }) => escaped(tellingWords(entry, line))));
    const at = mine[0]?.entry.at ?? now;
    said.push(
      `Taken back for ${lineWords(line)}: ${what}, ${clock(at)}.${comesNext(dutiesOfLine(line, ward.policy, now), line, clock, now)}`,
    );
  }
  return said.join('\n');
}
