import type { WardView } from '../../app/ports.ts';
import { isEscorted } from '../../domain/away/away.ts';
import { dutiesOfLine } from '../../domain/duties/duties-of-line.ts';
import type { Duty } from '../../domain/duties/duty.ts';
import { isClinicians } from '../../domain/duty-kind.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { nurseFor, onCallFor } from '../../domain/ward/on-call.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { dueWords, offWardWords } from '../../wording/care/away-words.ts';
import { capital, dutyName } from '../../wording/care/duty-words.ts';
import { clockText, lateText, placeWords } from '../../wording/care/line-words.ts';
import { targetsEndWords } from '../../wording/care/target-words.ts';
import { whoWords } from '../../wording/care/who-words.ts';
import type { Names } from '../../wording/names.ts';
import { rich } from '../../wording/rich-text.ts';
import { sizeOf } from '../../wording/shorten.ts';
import { actionValue } from '../action-value.ts';
import { theirsWords } from '../messages/asked-items.ts';
import { type Paragraph, type Part, paragraph, paragraphBeside, smallPrint } from '../parts.ts';
import { wholeText } from '../whole-text.ts';

/** Lines shown; a message has room for 50 parts, and for so many characters of text and of parts. */
const mostLines = 40;
const mostSpoken = 3_400;
const mostDrawn = 11_500;
const horizonMs = 4 * 3_600_000;

/** What is due on the ward, what a clinician must look at and then what is late first: for one reader, so nobody is notified by it. */
export async function dueList(
  view: WardView,
  names: Names,
  now: number,
): Promise<{ text: string; parts: Part[] }> {
  const { ward, lines } = view;
  if (lines.length === 0) {
    const text = 'No arterial lines on this ward. Register one with /artline place.';
    return { text, parts: [paragraph(text)] };
  }
  const ordered = worstFirst(view, now);
  const shown = await Promise.all(
    ordered.map(async ({ line, duties }) =>
      paragraphBeside(`due:${line.id}`, await lineText(line, duties, ward, names, now), {
        action: `open:card:${line.id}`,
        text: 'Open',
        value: actionValue({ w: ward.id, l: line.id }),
        label: `Open ${line.patient.name}, ${placeWords(line)}`,
      }),
    ),
  );
  const onCall = onCallFor(ward, now);
  const called = onCall
    ? `On call: ${await whoWords(onCall, names)}.`
    : 'Nobody is on call: set one with /artline oncall @name.';
  const listed = howManyFit(shown);
  const left = ordered.length - listed;
  const more = left > 0 ? ` ${left} more ${left === 1 ? 'line' : 'lines'}: /artline handover lists all.` : '';
  const parts = [...shown.slice(0, listed), smallPrint(`${called}${more}`)];
  return { text: wholeText('Due on this ward.', parts), parts };
}

/** The lines with their duties: those a clinician must look at first, then by when the first is due. */
function worstFirst({ ward, lines }: WardView, now: number): { line: LineState; duties: Duty[] }[] {
  return lines
    .map((line) => {
      const duties = dutiesOfLine(line, ward.policy, now);
      // What a clinician must look at comes before care that is late, however late that is.
      const [toSee = [], care = []] = [true, false].map((is) =>
        duties.filter(({ kind }) => isClinicians(kind) === is),
      );
      return { line, duties: [...toSee, ...care], isToSee: toSee.some(({ dueAt }) => dueAt <= now) };
    })
    .sort(
      (a, b) =>
        Number(b.isToSee) - Number(a.isToSee) ||
        (a.duties[0]?.dueAt ?? Number.MAX_SAFE_INTEGER) - (b.duties[0]?.dueAt ?? Number.MAX_SAFE_INTEGER),
    );
}

/** A line with what is due on it: the first, and the rest of the coming hours. */
async function lineText(
  line: LineState,
  duties: readonly Duty[],
  ward: WardState,
  names: Names,
  now: number,
): Promise<string> {
  const clock = (atMs: number) => clockText(ward.policy, atMs, now);
  const soon = duties.filter(
    ({ kind, dueAt }, index) => index === 0 || isClinicians(kind) || dueAt < now + horizonMs,
  );
  const each = soon.map((duty) => {
    const { kind, dueAt } = duty;
    // What was found says more than that a clinician is owed a look at it.
    if (isClinicians(kind)) {
      const look =
        dueAt > now ? `seen by a clinician, asked again ${clock(dueAt)}` : 'a clinician must look now';
      return rich`• *${capital(theirsWords(kind, line, now, ward.policy))}*: ${look}`;
    }
    return dueAt <= now
      ? rich`• *${capital(dutyName(kind, line))}*, ${lateText(dueAt, now)} (due ${clock(dueAt)})`
      : `• ${capital(dutyName(kind, line))} ${dueWords(line, ward.policy, duty, now)}`;
  });
  each.push(...targetsEndWords(line, now + horizonMs, clock, now).map((text) => `• ${capital(text)}`));
  if (line.removed && duties.length === 0)
    each.push(`• Taken out ${clock(line.removed.at)}, nothing left to do`);
  const away = await offWardWords(line, ward, names, now);
  if (away !== '') each.unshift(away);
  const who = isEscorted(line) ? '' : ` · with ${await whoWords(nurseFor(ward, line, now), names)}`;
  return rich`*${line.patient.name}* · ${placeWords(line)}${who}\n${each.join('\n')}`;
}

/** What a platform writes around a line of text with its button, characters. */
const frame = 120;

/** How many lines fit one message: 49 parts, and room in the text a screen reader reads. */
function howManyFit(shown: readonly Paragraph[]): number {
  let spoken = 0;
  let drawn = 0;
  const tooMany = shown.findIndex((part, index) => {
    spoken += sizeOf(part.text);
    drawn += sizeOf(JSON.stringify(part)) + frame;
    return index >= mostLines || spoken > mostSpoken || drawn > mostDrawn;
  });
  return tooMany === -1 ? shown.length : tooMany;
}
