import { recordOnLines } from '../../app/record-on-lines.ts';
import type { DraftOf } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { onCallFor } from '../../domain/ward/on-call.ts';
import { lineWords } from '../../wording/care/line-words.ts';
import { tipWords } from '../../wording/care/removal-words.ts';
import { whoWords } from '../../wording/care/who-words.ts';
import { refusalWords } from '../../wording/refusals/refusal-words.ts';
import { rich } from '../../wording/rich-text.ts';
import { type ActionValue, actionValue } from '../action-value.ts';
import { tipMissingWords } from '../answers/outcome-words.ts';
import { withTakeBack } from '../answers/take-back.ts';
import type { Bot, Caller } from '../bot.ts';
import { buttonRow, type Part, paragraph } from '../parts.ts';
import { refreshViews } from './show.ts';

/** What a button says of the tip, by its value. */
const bodies: Readonly<Record<string, Pick<DraftOf<'removed'>['body'], 'tipWhole' | 'pieceFound'>>> = {
  whole: { tipWhole: true },
  missing: { tipWhole: false },
  found: { tipWhole: false, pieceFound: true },
};

/** Asked once, after a removal recorded in words that said nothing of the tip. */
export const tipAsked = 'Was the catheter tip whole? Look before it is thrown away.';

/** Whether it must be asked: the line is out, alive, and nobody said. */
export function asksForTip({ removed }: LineState): boolean {
  return removed !== null && removed.tipWhole === undefined && removed.reason !== 'death';
}

/** The question, and its answers. */
export function tipParts(wardId: string, line: LineState): Part[] {
  const each = [
    ['whole', 'Yes, whole'],
    ['missing', 'No: a piece is missing'],
    ['found', 'No, but every piece is here'],
  ] as const;
  return [
    paragraph(rich`*${tipAsked}*`),
    buttonRow(
      `tip:${line.id}`,
      each.map(([v, text]) => ({
        action: `done:tip:${line.id}:${v}`,
        text,
        value: actionValue({ w: wardId, l: line.id, v }),
        label: `${line.patient.name}, catheter tip: ${text}`,
      })),
    ),
  ];
}

/** What a press says of the catheter's tip is added to the removal; the original stays in the log. */
export async function recordTip(bot: Bot, caller: Caller, value: ActionValue): Promise<void> {
  const { deps, names } = bot;
  const body = bodies[value.v ?? ''];
  const line = value.l ? await deps.record.readLine(caller.wardId, value.l) : null;
  const target = line?.last.removed?.entry;
  if (!body || !line?.removed || target === undefined) {
    return caller.say('This line isn’t out any more, or isn’t on this ward’s record. Nothing was recorded.');
  }
  const { tipWhole, pieceFound } = line.removed;
  if (tipWhole === body.tipWhole && Boolean(pieceFound) === Boolean(body.pieceFound)) {
    return caller.say(`Already recorded: ${lineWords(line)}, ${tipWords(line.removed)}. It’s recorded once.`);
  }
  const outcome = await recordOnLines(
    deps,
    { wardId: caller.wardId, by: caller.user, via: 'button', once: caller.once },
    [
      {
        lineId: line.id,
        draft: { kind: 'amended', body: { target, body: { pieceFound: false, ...body } } },
      },
    ],
  );
  const now = deps.clock.now();
  const [one] = outcome.results;
  const after = outcome.lines.get(line.id) ?? line;
  if (one?.is === 'refused')
    return caller.say(await refusalWords(one.refusal, line, outcome.ward, names, now));
  if (!after.removed) return;
  const onCall = onCallFor(outcome.ward, now);
  const hears = !after.tipMissing
    ? ''
    : onCall
      ? ` ${await whoWords(onCall, names)}, on call, is being told now.`
      : ' Nobody is on call, so I’m telling the ward. Call a clinician yourself now.';
  const text = `Recorded for ${lineWords(after)}: ${tipWords(after.removed)}.${tipMissingWords(after)}${hears}`;
  await caller.say(text, withTakeBack(text, outcome));
  return refreshViews(bot, caller, line.id);
}
