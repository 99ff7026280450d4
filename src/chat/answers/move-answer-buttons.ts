import type { Outcome } from '../../app/record-on-lines.ts';
import type { EntryKind } from '../../domain/record/entry.ts';
import { joinButtons, zeroFirstButtons } from '../messages/move-buttons.ts';
import { type ButtonOf } from '../parts.ts';

/** Steps after which there is a next one to tap. */
const steps: ReadonlySet<EntryKind> = new Set(['returned', 'arrived', 'transducerJoined']);

/**
 * The next taps after a move or a joining, where there are some: a line that is back or was joined is zeroed and levelled
 * first; one that is capped, and of which a pressure was recorded, is joined first.
 */
export function moveAnswerButtons({ results, lines, ward, repeat }: Outcome): ButtonOf[] {
  const all = [...new Set(results.map(({ lineId }) => lineId))].map((id) => lines.get(id));
  const [line, another] = all.filter((one) => one?.removed === null);
  // Of several lines one button would not say which it means: each has its own on its card.
  if (!line || another || repeat) return [];
  const isStep = results.some(({ is, draft }) => is === 'taken' && steps.has(draft.kind));
  const isRefused = results.some((one) => one.is === 'refused' && one.refusal.because === 'no transducer');
  return [
    ...(isStep ? zeroFirstButtons(ward.id, line) : []),
    ...(isStep || isRefused ? joinButtons(ward.id, line) : []),
  ];
}
