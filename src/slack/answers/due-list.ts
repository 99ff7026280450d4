import type { KnownBlock } from '@slack/web-api';
import type { WardView } from '../../app/ports.ts';
import { dutiesOfLine } from '../../domain/duties/duties-of-line.ts';
import { nurseOf, onCallAt } from '../../domain/ward/on-call.ts';
import { actionValue } from '../action-value.ts';
import { actions, context, section } from '../messages/blocks.ts';
import type { Names } from '../names.ts';
import { escaped } from '../text.ts';
import { capital, dutyName } from '../wording/duty-words.ts';
import { clockText, placeWords, spanText, standingCaution } from '../wording/line-words.ts';

/** Lines shown with a button of their own; a message has room for 50 blocks. */
const mostLines = 20;
const horizonMs = 4 * 3_600_000;

/** What is due on the ward, late first: for one reader, so nobody is notified by it. */
export async function dueList(
  view: WardView,
  names: Names,
  now: number,
): Promise<{ text: string; blocks: KnownBlock[] }> {
  const { ward, lines } = view;
  if (lines.length === 0) {
    const text = 'No arterial lines on this ward. Register one with /artline place.';
    return { text, blocks: [section(text)] };
  }
  const clock = (atMs: number) => clockText(ward.policy, atMs, now);
  const ordered = lines
    .map((line) => ({ line, duties: dutiesOfLine(line, ward.policy, now) }))
    .sort((a, b) => (a.duties[0]?.dueAt ?? 0) - (b.duties[0]?.dueAt ?? 0));
  const texts = await Promise.all(
    ordered.map(async ({ line, duties }) => {
      const soon = duties.filter(({ dueAt }, index) => index === 0 || dueAt < now + horizonMs);
      const each = soon.map(({ kind, dueAt }) =>
        dueAt <= now
          ? `• *${capital(dutyName(kind, line))}*, ${dueAt > now - 60_000 ? 'now' : `${spanText(now - dueAt)} late`} (due ${clock(dueAt)})`
          : `• ${capital(dutyName(kind, line))} ${clock(dueAt)}`,
      );
      return `*${escaped(line.patient.name)}* · ${placeWords(line)} · with ${await names.of(nurseOf(ward, line))}\n${each.join('\n')}`;
    }),
  );
  const onCall = onCallAt(ward, now);
  const called = onCall
    ? `On call: ${await names.of(onCall)}.`
    : 'Nobody is on call: set one with /artline oncall @name.';
  const more =
    ordered.length > mostLines
      ? ` ${ordered.length - mostLines} more lines: /artline handover lists all.`
      : '';
  return {
    text: `${texts.join('\n').replaceAll('*', '')}\n${called}${more}`.slice(0, 3_900),
    blocks: [
      ...texts.slice(0, mostLines).flatMap((text, index) => {
        const line = ordered[index]?.line;
        return [
          section(text),
          ...(line
            ? [
                actions(`due:${line.id}`, [
                  {
                    action: `open:card:${line.id}`,
                    text: 'Open',
                    value: actionValue({ w: ward.id, l: line.id }),
                    label: `Open ${line.patient.name}`,
                  },
                ]),
              ]
            : []),
        ];
      }),
      context(`${called}${more} ${standingCaution}`),
    ],
  };
}
