import type { WardView } from '../../app/ports.ts';
import { coveredTime } from '../../domain/handover/coming-visits.ts';
import { nextShiftsVisitsFrom } from '../../domain/rounds/takeover.ts';
import { visitsByNurse } from '../../domain/rounds/visit.ts';
import { shiftAt } from '../../domain/shifts/shift-calendar.ts';
import { wallClockWithDay } from '../../domain/shifts/wall-clock.ts';
import { notVisitedWords } from '../../wording/care/away-words.ts';
import { roundWords, visitCountWords } from '../../wording/care/round-words.ts';
import type { Names } from '../../wording/names.ts';
import { rich } from '../../wording/rich-text.ts';
import { sizeOf } from '../../wording/shorten.ts';
import { type Part, paragraph, paragraphs, smallPrint } from '../parts.ts';
import { wholeText } from '../whole-text.ts';

/** Characters of visits that one answer holds; it is read twice, by the eye and by the screen reader. */
const mostSpoken = 3_000;

/** The visits of the shift, or of the one that begins soon, as few as can be for each nurse; the asker's own first. */
export async function roundList(
  view: WardView,
  names: Names,
  user: string,
  now: number,
): Promise<{ text: string; parts: Part[] }> {
  const { ward } = view;
  // As the handover names them; the record keeps them in no order.
  const lines = view.lines.toSorted(
    (a, b) => a.patient.name.localeCompare(b.patient.name, 'en') || a.placed.at - b.placed.at,
  );
  if (lines.length === 0) {
    const text = 'No arterial lines on this ward, so there is no round. Register one with /artline place.';
    return { text, parts: [paragraph(text)] };
  }
  const { fromMs, toMs } = coveredTime(ward.policy, now);
  // As the lines are shared out in the shift that the visits belong to.
  const sharedAt = Math.max(fromMs, shiftAt(ward.policy.shifts, toMs - 1).startMs);
  const plans = visitsByNurse(ward, lines, fromMs, nextShiftsVisitsFrom(toMs), sharedAt).sort(
    (a, b) => Number(b.nurse === user) - Number(a.nurse === user),
  );
  const said: string[] = [];
  let left = mostSpoken;
  let unsaid = 0;
  for (const plan of plans) {
    const title = rich`*With ${await names.of(plan.nurse)}*: ${visitCountWords(plan.visits)}.`;
    const rows = [title, ...plan.visits.map((visit) => roundWords(visit, lines, view.ward.policy, now))];
    let fitting = 0;
    for (const line of rows) {
      left -= sizeOf(line) + 1;
      if (left < 0) break;
      fitting += 1;
    }
    said.push(...rows.slice(0, fitting));
    unsaid += plan.visits.length - Math.max(0, fitting - 1);
  }
  const first = `Rounds until ${wallClockWithDay(ward.policy.shifts.zone, toMs)}, if they are walked as they stand here.`;
  const more =
    unsaid > 0 ? ` ${unsaid} more ${unsaid === 1 ? 'visit' : 'visits'}: /artline handover lists all.` : '';
  const notVisited = await notVisitedWords(lines, ward, names, now);
  const parts = [
    paragraph(rich`*${first}*`),
    ...paragraphs(said),
    ...(notVisited === '' ? [] : [paragraph(notVisited)]),
    smallPrint(`Flush and dressing as the ward’s protocol says.${more}`),
  ];
  return { text: wholeText(first, parts), parts };
}
