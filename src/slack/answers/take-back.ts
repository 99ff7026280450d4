import type { KnownBlock } from '@slack/web-api';
import type { Outcome } from '../../app/tell-lines.ts';
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

/** An answer's text with what may be pressed of it, `Take back` last; undefined where that is nothing. */
export function withTakeBack(
  text: string,
  outcome: Outcome,
  more: readonly KnownBlock[] = [],
): KnownBlock[] | undefined {
  const button = takeBackButton(outcome);
  if (!button && more.length === 0) return undefined;
  return [...sections(text.split('\n')), ...more, ...(button ? [actions('undo', [button])] : [])];
}
