import { type EntryAt, type TakenBack, takeBack, takeBackMs } from '../../app/take-back.ts';
import { coversChanged, type TakenBackOfWard, takeBackOfWard } from '../../app/take-back-ward.ts';
import { dutiesOfLine } from '../../domain/duties/duties-of-line.ts';
import type { FaultSign } from '../../domain/fault/fault-questions.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { minuteMs } from '../../domain/time.ts';
import type { Cover } from '../../domain/ward/cover.ts';
import { nurseFor, onCallFor } from '../../domain/ward/on-call.ts';
import { coverTimeWords } from '../../wording/care/cover-time-words.ts';
import { listed } from '../../wording/care/duty-words.ts';
import { draftWords } from '../../wording/care/entry-words.ts';
import { clockText, lineWords } from '../../wording/care/line-words.ts';
import { whoWords } from '../../wording/care/who-words.ts';
import { refusalWords } from '../../wording/refusals/refusal-words.ts';
import type { ActionValue } from '../action-value.ts';
import { comesNext } from '../answers/outcome-words.ts';
import { putRightButton } from '../answers/take-back.ts';
import { type Bot, type Caller, sayInPlace, updateView } from '../bot.ts';
import { buttonRow, paragraph } from '../parts.ts';
import { faultPage, refreshUnder } from './show.ts';

/** Takes back all that one answer said was recorded, and says so in its place. */
export async function undoPressed(bot: Bot, caller: Caller, { k = [], q }: ActionValue): Promise<void> {
  const { wardId, user, once } = caller;
  const wanted = k.map(([lineId, from, count]) => ({ lineId, from, count }));
  const result = await takeBack(bot.deps, { wardId, by: user, via: 'button', once }, wanted);
  switch (result.is) {
    case 'taken back': {
      const words = await takenBackWords(bot, result);
      if (q && caller.inView) return undoneInFault(bot, caller, q[0], result, words);
      const [first] = result.entries;
      const isNone = result.outcome.results.every(({ is }) => is === 'refused');
      if (!isNone || !first) return sayInPlace(caller, words);
      return caller.say(words, [
        paragraph(words),
        buttonRow('right', [putRightButton(wardId, first.lineId, first.number)]),
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
      return caller.say(text, [
        paragraph(text),
        buttonRow('right', [putRightButton(wardId, lineId, number)]),
      ]);
    }
    case 'not theirs':
      return caller.say(
        'Only the person who recorded it can take it back here. Anybody can use “Put something right”.',
      );
  }
}

/** On a fault's page the question before it is asked again, or the signs where its opening was taken back. */
async function undoneInFault(
  bot: Bot,
  caller: Caller,
  sign: FaultSign,
  { entries, outcome }: TakenBack & { is: 'taken back' },
  words: string,
): Promise<void> {
  const line = outcome.lines.get(entries[0]?.lineId ?? '');
  if (!line || !caller.inView) return caller.say(words);
  await updateView(bot, caller.inView.id, await faultPage(bot, outcome.ward, line, sign, { remark: words }));
  return refreshUnder(bot, caller, line.id);
}

/** Takes back what was just set of the ward as a whole, and says what stands again. */
export async function undoWardPressed(bot: Bot, caller: Caller, { f }: ActionValue): Promise<void> {
  const { wardId, user, once } = caller;
  if (f === undefined) return;
  const result = await takeBackOfWard(bot.deps, { wardId, by: user, via: 'button', once }, f);
  switch (result.is) {
    case 'taken back':
      return sayInPlace(caller, await standsAgainWords(bot, result));
    case 'too late':
      return caller.say(
        `Too late to take back with a tap: it was set ${await clockOf(bot, caller, result.told)}, more than ${takeBackMs / minuteMs} min ago. Set it as it should be.`,
      );
    case 'not theirs':
      return caller.say('Only whoever set it can take it back here. Set it as it should be instead.');
    case 'not the last':
      return caller.say('Nothing was taken back: it was taken back already, or has been set again since.');
  }
}

/** Who is on call again, who stands in no more or again, or that the policy is as it was. */
async function standsAgainWords(
  { deps, names, command }: Bot,
  { what, ward, before }: TakenBackOfWard & { is: 'taken back' },
): Promise<string> {
  const now = deps.clock.now();
  switch (what) {
    case 'onCall': {
      const onCall = onCallFor(ward, now);
      return onCall === null
        ? `Taken back. Nobody is on call now. Set somebody: ${command} oncall @name.`
        : `Taken back. On call now: ${await whoWords(onCall, names)}.`;
    }
    case 'covers': {
      const { gone, again } = coversChanged(before, ward, now);
      const words = (verb: string, covers: readonly Cover[]) =>
        Promise.all(
          covers.map(
            async (cover) =>
              `${await names.of(cover.by)} ${verb} for ${await names.of(cover.away)} ${coverTimeWords(ward.policy, cover, now)}.`,
          ),
        );
      return [
        'Taken back.',
        ...(await words('no longer covers', gone)),
        ...(await words('again covers', again)),
      ].join(' ');
    }
    case 'policy':
      return 'Taken back: the ward policy is as it was before. The channel is told.';
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
  const { ward, lines, results } = outcome;
  const clock = (atMs: number) => clockText(ward.policy, atMs, now);
  const said: string[] = [];
  for (const [lineId, mine] of Map.groupBy(entries, (one) => one.lineId)) {
    const line = lines.get(lineId);
    if (!line) continue;
    const refused = results.find((one) => one.lineId === lineId && one.is === 'refused');
    if (refused?.is === 'refused') {
      said.push(await refusalWords(refused.refusal, line, ward, names, now));
      continue;
    }
    if (line.inError) {
      said.push(
        `Taken back: ${lineWords(line)} is marked as registered in error. You won’t be asked about it again.`,
      );
      continue;
    }
    const what = backWords(mine, line, clock);
    const isGiven = mine.some(({ entry }) => entry.kind === 'assigned');
    const whose = isGiven ? ` With ${await whoWords(nurseFor(ward, line, now), names)} again.` : '';
    said.push(
      `Taken back for ${lineWords(line)}: ${what}.${whose}${comesNext(dutiesOfLine(line, ward.policy, now), line, clock, now)}`,
    );
  }
  return said.join('\n');
}

/** What was taken back of one line, with its time; of what had been struck or put right, that it counts as before. */
function backWords(mine: readonly EntryAt[], line: LineState, clock: (atMs: number) => string): string {
  const acts = mine.flatMap(({ entry, standsAgain }) => (standsAgain ? [] : [entry]));
  const again = mine.flatMap(({ entry, standsAgain }) => {
    if (!standsAgain || entry.kind !== 'amended') return [];
    const counts = entry.body.strike === undefined ? 'is as it was before' : 'counts again';
    return [`“${draftWords(standsAgain, line)}”, ${clock(standsAgain.at)}, ${counts}`];
  });
  const [first] = acts;
  const words = first ? `${listed(acts.map((entry) => draftWords(entry, line)))}, ${clock(first.at)}` : '';
  return [words, ...again].filter((some) => some !== '').join('; ');
}
