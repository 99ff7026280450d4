import type { Outcome } from '../../app/record-on-lines.ts';
import type { OfWard } from '../../app/take-back-ward.ts';
import type { FaultSign } from '../../domain/fault/fault-questions.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { actionValue } from '../action-value.ts';
import type { Caller } from '../bot.ts';
import { type ButtonOf, buttonRow, type Part, paragraphs } from '../parts.ts';
import { room } from '../room.ts';

/**
 * The button that takes back all that was just recorded; none where nothing was, or where one button cannot carry it.
 * `sign`: of the fault on whose page it stands.
 */
export function takeBackButton({ results, ward, lines, repeat }: Outcome, sign?: FaultSign): ButtonOf | null {
  if (repeat) return null;
  const taken = results.flatMap((one) => (one.is === 'taken' ? [one] : []));
  const [first] = taken;
  if (!first) return null;
  const numbers = Map.groupBy(taken, ({ lineId }) => lineId);
  const k = [...numbers].map(
    ([lineId, mine]) =>
      [lineId, Math.min(...mine.map(({ number }) => number)), mine.length] as [string, number, number],
  );
  const value = actionValue({ w: ward.id, k, ...(sign ? { q: [sign] } : {}) });
  if (value.length > room.buttonValue || k.length > room.takenBack) return null;
  const [name] = [...numbers.keys()].map((id) => lines.get(id)?.patient.name ?? '');
  const whose = k.length === 1 ? (name ?? '') : `${k.length} lines`;
  return {
    action: `done:undo:${first.lineId}`,
    text: 'Take back',
    value,
    label: `${whose}: take back what was just recorded`,
  };
}

/** Takes back the registering of a line. */
export function unregisterButton(wardId: string, { id, patient }: LineState): ButtonOf {
  return {
    action: `done:undo:${id}`,
    text: 'Take back',
    value: actionValue({ w: wardId, k: [[id, 1, 1]] }),
    label: `${patient.name}: take back the registering of this line`,
  };
}

/** Answers whoever set something of the ward as a whole, with the button that takes it back; `ward`: as it is then, null where nothing was set. */
export async function sayOfWard(
  caller: Pick<Caller, 'say'>,
  text: string,
  ward: WardState | null,
  what: OfWard,
): Promise<void> {
  const number = ward?.lastSet[what]?.number;
  if (!ward || number === undefined) return caller.say(text);
  return caller.say(text, [
    ...paragraphs([text]),
    buttonRow('undo', [
      {
        action: 'done:undoward',
        text: 'Take back',
        value: actionValue({ w: ward.id, f: number }),
        label: 'Take back what was just set',
      },
    ]),
  ]);
}

/** The way to the form that puts one entry right. */
export function putRightButton(wardId: string, lineId: string, number: number): ButtonOf {
  const value = actionValue({ w: wardId, l: lineId, v: 'amend', n: number });
  return { action: `open:amend:${lineId}`, text: 'Put something right…', value };
}

/** The way to put right what was just recorded of one line: the last of it, which the others are a tap from. */
function putRight({ results, ward, repeat }: Outcome): ButtonOf | null {
  const taken = results.flatMap((one) => (one.is === 'taken' ? [one] : []));
  const last = taken.at(-1);
  if (repeat || !last || amendOnly.has(last.draft.kind)) return null;
  return taken.every(({ lineId }) => lineId === last.lineId)
    ? putRightButton(ward.id, last.lineId, last.number)
    : null;
}

/** What the list of entries to put right leaves out. */
const amendOnly: ReadonlySet<string> = new Set(['amended', 'claimed', 'snoozed', 'assigned']);

/** An answer's text with what may be pressed of it, `Take back` and `Put something right…` last; undefined where that is nothing. */
export function withTakeBack(text: string, outcome: Outcome, more: readonly Part[] = []): Part[] | undefined {
  const buttons = [takeBackButton(outcome), putRight(outcome)].filter((one) => one !== null);
  if (buttons.length === 0 && more.length === 0) return undefined;
  return [
    ...paragraphs(text.split('\n')),
    ...more,
    ...(buttons.length > 0 ? [buttonRow('undo', buttons)] : []),
  ];
}
