import { type DutyKind, dutyKinds } from '../../domain/duty-kind.ts';
import { foldedName } from '../../domain/patient/patient-key.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { Round } from '../../domain/rounds/rounds.ts';
import { rich } from '../rich-text.ts';
import { sizeOf } from '../shorten.ts';
import { actName } from './act-words.ts';
import { placeShort } from './line-words.ts';

/** What a list of visits calls each line: the patient's name, with the artery where the name alone is not enough. */
export function namesOfLines(lines: readonly LineState[]): (line: LineState) => string {
  const named = Map.groupBy(lines, ({ patient }) => foldedName(patient.name));
  return (line) => {
    const name = line.patient.name;
    return (named.get(foldedName(line.patient.name))?.length ?? 0) > 1
      ? `${name} (${placeShort(line)})`
      : name;
  };
}

/** Characters of a row of a visit; one with more patients goes on in another, a section of a message being small. */
const rowMax = 900;

/**
 * One visit, every patient by name with a box to tick, those who need the same together: `*19:02* flush, zero: ☐ Biscuit ☐ Juno;
 * zero: ☐ Otto`. Several rows where there are very many.
 */
export function visitRows(
  { at, duties }: Round,
  lines: readonly LineState[],
  nameOf: (line: LineState) => string,
  clock: (atMs: number) => string,
): string[] {
  const each = lines.flatMap((line) => {
    const kinds = duties.filter(({ lineId }) => lineId === line.id).map(({ kind }) => kind);
    const acts = actsOf(kinds, line);
    return acts === '' ? [] : [{ line, acts }];
  });
  const groups = [...Map.groupBy(each, ({ acts }) => acts)].toSorted(([, a], [, b]) => b.length - a.length);
  const rows: string[] = [];
  let row = rich`*${clock(at)}*`;
  for (const [acts, mine] of groups) {
    mine.forEach(({ line }, index) => {
      const box = `☐ ${nameOf(line)}`;
      const isFull = sizeOf(row) + sizeOf(box) > rowMax;
      if (isFull) {
        rows.push(row);
        row = rich`*${clock(at)}, more*`;
      }
      const begins = index === 0 && row.includes('☐') ? ';' : '';
      row += index === 0 || isFull ? `${begins} ${acts}: ${box}` : ` ${box}`;
    });
  }
  return groups.length === 0 ? [] : [...rows, row];
}

/** In one order, so that those who need the same stand together. A dwell warning is news, and nothing to do. */
function actsOf(kinds: readonly DutyKind[], line: LineState): string {
  return dutyKinds
    .filter((kind) => kinds.includes(kind) && kind !== 'dwellWarning')
    .map((kind) => actName(kind, line))
    .join(', ');
}
