import { rich } from '../../wording/rich-text.ts';
import { type ActionValue, actionValue } from '../action-value.ts';
import { notFree } from '../messages/not-free.ts';
import { buttonRow, paragraph } from '../parts.ts';
import { room } from '../room.ts';
import type { OfferedDuty } from './duty-choice.ts';

/**
 * What usually keeps a duty from being done, as taps: common practice, no source. Two of them are the clinician's to hear at
 * once; a patient that is elsewhere or a line that looks wrong leads to what helps more than a message.
 */
const usualReasons = {
  away: { text: 'In theatre or imaging…', leads: 'moved' },
  unwilling: { text: 'Patient won’t allow it', leads: 'recorded', reason: 'patient won’t allow it' },
  hands: { text: 'No hands free', leads: 'recorded', reason: 'no hands free' },
  wrong: { text: 'Line looks wrong…', leads: 'fault' },
} as const;

export function cannotReason(
  key: string | undefined,
):
  | (typeof usualReasons)[keyof typeof usualReasons]
  | { leads: 'recorded'; reason: typeof notFree.reason }
  | null {
  if (key === notFree.key) return { leads: 'recorded', reason: notFree.reason };
  return Object.entries(usualReasons).find(([name]) => name === key)?.[1] ?? null;
}

/** The usual reasons as buttons; none where they are about several lines, or where a button cannot carry what it is about. */
export function reasonParts(wardId: string, duties: readonly OfferedDuty[]) {
  const lines = new Set(duties.map(({ asked }) => asked.lineId));
  const [lineId] = lines;
  if (lineId === undefined || lines.size > 1) return [];
  const d: ActionValue['d'] = duties.map(({ asked }) => [asked.kind, asked.dueAt]);
  const buttons = Object.entries(usualReasons).map(([v, { text }]) => ({
    action: `cannot:why:${v}`,
    text,
    value: actionValue({ w: wardId, l: lineId, d, v }),
  }));
  if (buttons.some(({ value }) => value.length > room.buttonValue)) return [];
  return [paragraph(rich`*What’s in the way?* One tap is enough:`), buttonRow('cannot:why', buttons)];
}
