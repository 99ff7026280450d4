import { linesOfAnimal } from '../domain/animal/animal.ts';
import type { Entry, EntryHead } from '../domain/record/entry.ts';
import type { LineState } from '../domain/record/line-state.ts';

/**
 * What is recorded with something put right of a line's placing: whose the animal's lines are, for those that only the rule for
 * older records joined. A name or weight put right would otherwise take them apart unsaid.
 */
export function animalDrafts(
  line: LineState,
  taken: Entry,
  { by, via }: Pick<EntryHead, 'by' | 'via'>,
  now: number,
): { id: string; entry: Entry }[] {
  if (taken.kind !== 'amended' || taken.body.target !== 1 || !line.animal) return [];
  const { id: animal } = line.animal;
  const says = taken.body.body ?? {};
  if (!('patient' in says) && !('animal' in says)) return [];
  return linesOfAnimal(line)
    .filter((one) => one.recordedAnimal === null && !(one.id === line.id && 'animal' in says))
    .map(({ id }) => ({
      id,
      entry: { kind: 'amended', at: now, told: now, by, via, body: { target: 1, body: { animal } } },
    }));
}
