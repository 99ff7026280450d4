import { dutiesOfLine } from '../../../src/domain/duties/duties-of-line.ts';
import { type Duty } from '../../../src/domain/duties/duty.ts';
import { type DutyKind, isClinicians } from '../../../src/domain/duty-kind.ts';
import type { WardPolicy } from '../../../src/domain/policy/ward-policy.ts';
import type { LineState } from '../../../src/domain/record/line-state.ts';
import { imagined, type Round, repeats } from '../../../src/domain/rounds/rounds.ts';
import { minuteMs } from '../../../src/domain/time.ts';

/**
 * The rounds of a ward from `fromMs` to `toMs` (exclusive), as they come if each is done when it is due: what the
 * incoming shift will be asked for. What is late already is in the first round, at `fromMs`. A round takes along what is
 * due soon if doing it then counts, and what its own acts make due (a redress asks for a zero). The same fold and the same
 * duties that will ask for them foretell them, so the list cannot disagree with the nudges.
 */
export function roundsBetween(
  lines: readonly LineState[],
  policy: WardPolicy,
  fromMs: number,
  toMs: number,
): Round[] {
  const withinMs = policy.roundMin * minuteMs;
  let ahead = lines.map((line) => ({ line, asked: new Set<DutyKind>() }));
  const open = () =>
    ahead.flatMap(({ line, asked }) =>
      dutiesOfLine(line, policy, fromMs).filter(
        (duty) => duty.dueAt < toMs && !isClinicians(duty.kind) && !asked.has(duty.kind),
      ),
    );
  const rounds: Round[] = [];
  for (let duties = open(); duties.length > 0; duties = open()) {
    const at = Math.max(fromMs, Math.min(...duties.map(({ dueAt }) => dueAt)));
    const here = duties
      .filter(({ dueAt, earliestAt }) => dueAt <= at || (dueAt <= at + withinMs && earliestAt <= at))
      .sort((a, b) => a.dueAt - b.dueAt);
    const last = rounds.at(-1);
    if (last?.at === at)
      last.duties.push(...here.filter((duty) => !last.duties.some((other) => isSame(duty, other))));
    else rounds.push({ at, duties: here });
    ahead = ahead.map(({ line, asked }) => {
      const mine = here.filter(({ lineId }) => lineId === line.id);
      const once = mine.filter((duty) => !repeats(duty.kind)).map(({ kind }) => kind);
      const done = mine.reduce((state, duty) => imagined(state, policy, duty, at), line);
      return { line: done, asked: new Set([...asked, ...once]) };
    });
  }
  return rounds;
}

function isSame(a: Duty, b: Duty): boolean {
  return a.lineId === b.lineId && a.kind === b.kind;
}
