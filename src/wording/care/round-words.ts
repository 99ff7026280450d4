import type { Duty } from '../../domain/duties/duty.ts';
import type { DutyKind } from '../../domain/duty-kind.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { Round } from '../../domain/rounds/rounds.ts';
import { rich } from '../rich-text.ts';
import { dutyName } from './duty-words.ts';
import { eachAnimal } from './each-animal.ts';
import { clockText, lineWords } from './line-words.ts';

/**
 * What a duty needs carried to the bedside, for one and for several; what is not listed needs nothing. Common practice,
 * no source; what is in a flush syringe and a dressing set is the ward's protocol.
 */
const needs: Partial<Record<DutyKind, { one: string; several: string }>> = {
  flush: { one: 'flush syringe', several: 'flush syringes' },
  runOut: { one: 'new flush bag or syringe', several: 'new flush bags or syringes' },
  source: { one: 'spare flush bag or syringe', several: 'spare flush bags or syringes' },
  redress: {
    one: 'dressing set, chlorhexidine, gloves',
    several: 'dressing sets, chlorhexidine, gloves',
  },
  set: { one: 'transducer set with tubing', several: 'transducer sets with tubing' },
  dwellLimit: { one: 'pressure bandage for taking out', several: 'pressure bandages for taking out' },
  hold: { one: 'swab', several: 'swabs' },
};

/** ` (bring 3 flush syringes; dressing set, chlorhexidine, gloves)`, to stand after a visit; empty where it needs nothing. */
export function bringWords(duties: readonly Pick<Duty, 'kind'>[]): string {
  const needed = needsOf(duties);
  return needed === '' ? '' : ` (bring ${needed})`;
}

/** `3 flush syringes; dressing set, chlorhexidine, gloves`: what these need; empty where that is nothing. */
export function needsOf(duties: readonly Pick<Duty, 'kind'>[]): string {
  const each = [...Map.groupBy(duties, ({ kind }) => kind)].flatMap(([kind, mine]) => {
    const need = needs[kind];
    if (!need) return [];
    return mine.length === 1 ? [need.one] : [`${mine.length} ${need.several}`];
  });
  return each.join('; ');
}

/** `11 visits`: how many. */
export function visitCountWords(visits: readonly Round[]): string {
  if (visits.length === 0) return 'nothing due';
  return `${visits.length} ${visits.length === 1 ? 'visit' : 'visits'}`;
}

/** More lines than this in one round are counted, not named. */
const namedInRound = 8;

/** One visit: when, to whom, for what, and what to bring. */
export function roundWords(
  { at, duties }: Round,
  lines: readonly LineState[],
  policy: WardPolicy,
  now: number,
): string {
  const clock = clockText(policy, at, now);
  const ids = new Set(duties.map(({ lineId }) => lineId));
  const bring = bringWords(duties);
  const names = lines.map(({ patient }) => patient.name);
  const nameOf = (line: LineState) =>
    names.filter((name) => name === line.patient.name).length > 1 ? lineWords(line) : line.patient.name;
  if (ids.size > namedInRound) {
    const counts = [...Map.groupBy(duties, ({ kind }) => kind)].map(([kind, mine]) => {
      // What one animal alone needs must be found without reading all of them.
      const only = mine.length === 1 ? lines.find(({ id }) => id === mine[0]?.lineId) : undefined;
      return only ? `${dutyName(kind, only)} of ${nameOf(only)}` : `${dutyName(kind)} ×${mine.length}`;
    });
    return rich`*${clock}* ${ids.size} lines: ${counts.join(', ')}${bring}`;
  }
  const each = eachAnimal(
    lines
      .filter(({ id }) => ids.has(id))
      .map((line) => [
        line,
        duties
          .filter(({ lineId }) => lineId === line.id)
          .map(({ kind }) => dutyName(kind, line))
          .join(', '),
      ]),
    nameOf,
  );
  return rich`*${clock}* ${each.join('; ')}${bring}`;
}
