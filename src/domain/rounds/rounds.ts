import { dutiesOfLine } from '../duties/duties-of-line.ts';
import { type Duty, hourMs, isClinicians, minuteMs } from '../duties/duty.ts';
import type { DutyKind } from '../duties/duty-kind.ts';
import { usualTelling } from '../duties/usual-telling.ts';
import { stillNeededHours } from '../policy/care-intervals.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { Telling } from '../record/entry.ts';
import { foldNext } from '../record/fold-line.ts';
import type { LineState } from '../record/line-state.ts';
import { nextShiftStart } from '../shifts/shift-calendar.ts';

/** One visit that clears several duties. `at`: when to walk, ms since the epoch. */
export interface Round {
  at: number;
  duties: Duty[];
}

/** Groups duties into rounds: each starts with the earliest left and takes with it what is due within `withinMs` of it. */
export function gatherRounds(duties: readonly Duty[], withinMs: number): Round[] {
  const rounds: Round[] = [];
  for (const duty of duties.toSorted((a, b) => a.dueAt - b.dueAt)) {
    const round = rounds.at(-1);
    if (round && duty.dueAt <= round.at + withinMs) round.duties.push(duty);
    else rounds.push({ at: duty.dueAt, duties: [duty] });
  }
  return rounds;
}

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

/** Duties asked for once in a forecast: what follows depends on a person's answer. */
export function repeats(kind: DutyKind): boolean {
  return usualTelling(kind) !== null || kind === 'stillNeeded';
}

/** The line after a duty was done at `at` (ms) and told as usual; as it was where only a person can say what was done. */
export function imagined(line: LineState, policy: WardPolicy, { kind, dueAt }: Duty, at: number): LineState {
  const telling: Telling | null =
    kind === 'stillNeeded'
      ? {
          kind: 'waived',
          body: {
            duty: kind,
            dueAt,
            reason: 'forecast',
            until: at + stillNeededHours(line, policy) * hourMs,
          },
        }
      : usualTelling(kind);
  if (telling === null) return line;
  const time = Math.max(at, line.latestAt);
  return foldNext(line, { ...telling, at: time, told: time, by: 'bot', via: 'bot' }, () => []);
}

/** When the shift that a handover at `now` speaks to is over: the one coming if it starts within `soonMs`, else this one. */
export function horizonOf(policy: WardPolicy, now: number, soonMs: number): { fromMs: number; toMs: number } {
  const coming = nextShiftStart(policy.shifts, now);
  if (coming - now <= soonMs) return { fromMs: now, toMs: nextShiftStart(policy.shifts, coming) };
  return { fromMs: now, toMs: coming };
}
