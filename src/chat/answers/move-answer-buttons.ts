import type { Outcome } from '../../app/tell-lines.ts';
import type { EntryKind } from '../../domain/record/entry.ts';
import { joinButtons, zeroFirstButtons } from '../messages/move-buttons.ts';
import { type ButtonOf } from '../parts.ts';

/** Steps after which there is a next one to tap. */
const steps: ReadonlySet<EntryKind> = new Set(['returned', 'arrived', 'transducerJoined']);

/**
 * The next taps after a move or a joining, where there are some: a line that is back or was joined is zeroed and levelled
 * first; one that is capped, and of which a pressure was told, is joined first.
 */
export function moveAnswerButtons({ told, lines, ward, repeat }: Outcome): ButtonOf[] {
  const [first] = told;
  const line = first && lines.get(first.lineId);
  if (!line || repeat) return [];
  const isStep = told.some(({ is, telling }) => is === 'taken' && steps.has(telling.kind));
  const isRefused = told.some((one) => one.is === 'refused' && one.refusal.because === 'no transducer');
  return [
    ...(isStep ? zeroFirstButtons(ward.id, line) : []),
    ...(isStep || isRefused ? joinButtons(ward.id, line) : []),
  ];
}
