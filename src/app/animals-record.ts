import { animalsOf, otherLines, ownLine, withAnimals } from '../domain/animal/animal.ts';
import type { LineState } from '../domain/record/line-state.ts';
import type { WardRecord } from './ports.ts';

/**
 * The record as use cases see it: each line comes with what its animal's other lines say, also those that left the ward's
 * list, and goes back as its own log has it. `record` itself knows lines only.
 */
export function animalsRecord(record: WardRecord): WardRecord {
  const joined = async (
    wardId: string,
    lines: readonly LineState[],
    placings = record.readPlacings(wardId),
  ) => {
    const known = await placings;
    const ids = lines.map(({ id }) => id);
    const missing = otherLines(ids, animalsOf(known));
    const others = missing.length === 0 ? [] : await record.readLines(wardId, missing);
    const wanted = new Set(ids);
    return withAnimals([...lines, ...others], known).filter(({ id }) => wanted.has(id));
  };
  /** Lines and whose they are, asked for at once; nothing is asked twice where there is no line. */
  const readLines = async (wardId: string, lineIds: readonly string[]) => {
    if (lineIds.length === 0) return [];
    const [lines, placings] = await Promise.all([
      record.readLines(wardId, lineIds),
      record.readPlacings(wardId),
    ]);
    return joined(wardId, lines, Promise.resolve(placings));
  };

  return {
    ...record,
    async readWard(wardId) {
      const [{ ward, lines }, placings] = await Promise.all([
        record.readWard(wardId),
        record.readPlacings(wardId),
      ]);
      return { ward, lines: await joined(wardId, lines, Promise.resolve(placings)) };
    },
    readLine: async (wardId, lineId) => (await readLines(wardId, [lineId]))[0] ?? null,
    readLines,
    commit: (wardId, change) =>
      record.commit(wardId, {
        ...change,
        lines: change.lines.map((line) => ({ ...line, after: ownLine(line.after) })),
      }),
  };
}
