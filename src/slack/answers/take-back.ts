import type { KnownBlock } from '@slack/web-api';
import type { Outcome } from '../../app/tell-lines.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { actionValue } from '../action-value.ts';
import { limits } from '../limits.ts';
import { actions, type ButtonSpec, sections } from '../messages/blocks.ts';

/** The button that takes back all that was just recorded; none where nothing was, or where one button cannot carry it. */
function takeBackButton({ told, ward, lines, repeat }: Outcome): ButtonSpec | null {
  if (repeat) return null;
  const taken = told.flatMap((one) => (one.is === 'taken' ? [one] : []));
  const [first] = taken;
  if (!first) return null;
  const numbers = Map.groupBy(taken, ({ lineId }) => lineId);
  const k = [...numbers].map(
    ([lineId, mine]) =>
      [lineId, Math.min(...mine.map(({ number }) => number)), mine.length] as [string, number, number],
  );
  const value = actionValue({ w: ward.id, k });
  if (value.length > limits.buttonValue || k.length > limits.takenBack) return null;
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
export function unregisterButton(wardId: string, { id, patient }: LineState): ButtonSpec {
  return {
    action: `done:undo:${id}`,
    text: 'Take back',
    value: actionValue({ w: wardId, k: [[id, 1, 1]] }),
    label: `${patient.name}: take back the registering of this line`,
  };
}

/** The way to the form that puts one entry right. */
export function putRightButton(wardId: string, lineId: string, number: number): ButtonSpec {
  const value = actionValue({ w: wardId, l: lineId, v: 'amend', n: number });
  return { action: `open:amend:${lineId}`, text: 'Put something right…', value };
}

/** The way to put right what was just recorded of one line: the last of it, which the others are a tap from. */
function putRight({ told, ward, repeat }: Outcome): ButtonSpec | null {
  const taken = told.flatMap((one) => (one.is === 'taken' ? [one] : []));
  const last = taken.at(-1);
  if (repeat || !last || amendOnly.has(last.telling.kind)) return null;
  return taken.every(({ lineId }) => lineId === last.lineId)
    ? putRightButton(ward.id, last.lineId, last.number)
    : null;
}

/** What the list of entries to put right leaves out. */
const amendOnly: ReadonlySet<string> = new Set(['amended', 'claimed', 'snoozed']);

/** An answer's text with what may be pressed of it, `Take back` and `Put something right…` last; undefined where that is nothing. */
export function withTakeBack(
  text: string,
  outcome: Outcome,
  more: readonly KnownBlock[] = [],
): KnownBlock[] | undefined {
  const buttons = [takeBackButton(outcome), putRight(outcome)].filter((one) => one !== null);
  if (buttons.length === 0 && more.length === 0) return undefined;
  return [...sections(text.split('\n')), ...more, ...(buttons.length > 0 ? [actions('undo', buttons)] : [])];
}
