import type { KnownBlock } from '@slack/web-api';
import type { Outcome } from '../../app/tell-lines.ts';
import type { EntryKind } from '../../domain/record/entry.ts';
import { actions, section } from '../messages/blocks.ts';
import { joinButtons, zeroFirstButtons } from '../messages/move-buttons.ts';

/** Steps after which there is a next one to tap. */
const steps: ReadonlySet<EntryKind> = new Set(['returned', 'arrived', 'transducerJoined']);

/**
 * The answer's next taps, where there are some: a line that is back or was joined is zeroed and levelled first; one that is
 * capped, and of which a pressure was told, is joined first. Undefined where the words are enough.
 */
export function afterMoveBlocks(wardId: string, outcome: Outcome, words: string): KnownBlock[] | undefined {
  const [first] = outcome.told;
  const line = first && outcome.lines.get(first.lineId);
  if (!line) return undefined;
  const isStep = outcome.told.some(({ is, telling }) => is === 'taken' && steps.has(telling.kind));
  const isRefused = outcome.told.some(
    (one) => one.is === 'refused' && one.refusal.because === 'no transducer',
  );
  const buttons = [
    ...(isStep ? zeroFirstButtons(wardId, line) : []),
    ...(isStep || isRefused ? joinButtons(wardId, line) : []),
  ];
  return buttons.length === 0 ? undefined : [section(words), actions(`moved:${line.id}`, buttons)];
}
