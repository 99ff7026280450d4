import type { WardView } from '../../app/ports.ts';
import { usualDraft } from '../../domain/duties/usual-draft.ts';
import { isClinicians } from '../../domain/duty-kind.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { claimsOf } from '../../wording/care/claim-words.ts';
import { placeWords } from '../../wording/care/line-words.ts';
import { italic } from '../../wording/rich-text.ts';
import { actionValue } from '../action-value.ts';
import { type ButtonOf, buttonRow, type Part, paragraph } from '../parts.ts';
import { room } from '../room.ts';
import type { Item } from './asked-items.ts';

/**
 * One tap for all that one visit does of several lines, whatever it is, and above it what that tap records of each: nothing
 * is told that nobody read. What only a form or a clinician can answer is not in it, and no fast-flush test: how a trace rang,
 * somebody has to have seen line by line. None where one line has it all.
 */
export function allDoneParts(wardId: string, open: readonly Item[], { ward }: WardView): Part[] {
  const quick = open.filter(
    ({ asked: { kind } }) => !isClinicians(kind) && kind !== 'test' && usualDraft(kind) !== null,
  );
  const byLine = [...Map.groupBy(quick, ({ line }) => line)];
  if (byLine.length < 2) return [];
  const names = byLine.map(([line]) => line.patient.name);
  const nameOf = (line: LineState) => {
    const isOne = names.filter((name) => name === line.patient.name).length === 1;
    return line.patient.name + (isOne ? '' : ` ${placeWords(line)}`);
  };
  const claims = Map.groupBy(byLine, ([line, items]) =>
    claimsOf(
      items.map(({ asked }) => asked.kind),
      line,
      ward.policy,
    ).join(', '),
  );
  const each = [...claims].map(([what, mine]) => `${mine.map(([line]) => nameOf(line)).join(', ')}: ${what}`);
  const buttons = inButtons(wardId, byLine);
  if (buttons.length === 0) return [];
  const tests = open.some(({ asked }) => asked.kind === 'test') ? ' Fast-flush tests: line by line.' : '';
  return [
    paragraph(`${italic('All done')} records: ${each.join('; ')}.${tests}`),
    buttonRow(`round:${wardId}`, buttons),
  ];
}

/** As many buttons as carry all of it; of a line all is in one. */
function inButtons(wardId: string, byLine: readonly [LineState, Item[]][]): ButtonOf[] {
  const parts: { lines: LineState[]; value: string; e: [string, Item['asked']['kind'], number][] }[] = [];
  for (const [line, items] of byLine) {
    const own = items.map(
      ({ asked }) => [line.id, asked.kind, asked.dueAt] as [string, Item['asked']['kind'], number],
    );
    const last = parts.at(-1);
    const e = [...(last?.e ?? []), ...own];
    const value = actionValue({ w: wardId, e });
    if (last && e.length <= room.doneTogether && value.length <= room.buttonValue)
      Object.assign(last, { e, value, lines: [...last.lines, line] });
    else parts.push({ lines: [line], e: own, value: actionValue({ w: wardId, e: own }) });
  }
  return parts.map(({ lines, value }, index) => {
    const names = lines.map(({ patient }) => patient.name).join(', ');
    const text = parts.length === 1 ? `All done: ${lines.length} lines` : `Done: ${names}`;
    return {
      action: `done:all:${index}`,
      text,
      value,
      ...(index === 0 ? { primary: true } : {}),
      label: `All done: ${names}`,
    };
  });
}
