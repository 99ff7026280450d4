import type { Post, WardView } from '../../app/ports.ts';
import { dangerousFrom } from '../../domain/duties/urgency.ts';
import { isDwell } from '../../domain/duty-kind.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { ButtonOf } from '../parts.ts';
import type { OpenItem } from './asked-items.ts';
import { carried } from './duty-buttons.ts';
import { buttonsOf } from './line-button.ts';

/** The one reason that a clinician who was called taps on the message itself. */
export const notFree = { key: 'notfree', text: 'I can’t come', reason: 'not free to come' } as const;

/**
 * The button by which a clinician who was called for a danger says that they can't come: the backup and the ward are told at once.
 * Gone once it was pressed; a cat's limit has been told to all of them already.
 */
export function notFreeButton(
  { about, to }: Post,
  line: LineState,
  open: readonly OpenItem[],
  { ward }: WardView,
  now: number,
): ButtonOf[] {
  if (about?.what !== 'clinician' || to === 'ward') return [];
  const dangers = open.filter(({ status: { duty, cannot } }) => {
    const from = dangerousFrom(duty, ward.policy);
    return from !== null && from <= now && !isDwell(duty.kind) && cannot?.by !== to.user;
  });
  if (dangers.length === 0) return [];
  const button = buttonsOf(ward.id, line);
  const { key: v, text } = notFree;
  return [button(`cannot:why:${v}`, text, { d: carried(dangers), v, label: 'I can’t come' })];
}
