import { inOrderRecorded, type WardCopy } from '../app/ward-copy.ts';
import { defaultPolicy } from '../domain/policy/ward-policy.ts';
import { hourMs, minuteMs } from '../domain/time.ts';
import { CareOfLine } from './care-of-line.ts';
import { type Chance, chanceFrom } from './chance.ts';
import { type InventedLine, InventedWard } from './invented-ward.ts';
import { inventedYear, type Operator } from './invented-year.ts';
import { drawnLife, type LineLife } from './line-life.ts';

/** What an invented year is made from: the same choices make the same record, to the byte. */
export interface YearChoices {
  seed: string | number;
  /** Lines placed in the year; animals that went without one after all tries come on top. */
  lines: number;
  /** The year's end, ms since the epoch: "now" of the ward, when the last lines are still in. */
  endMs: number;
  /** IANA zone of the ward. */
  zone: string;
}

export const yearMs = 365 * 24 * hourMs;
const failures = [
  'artery not found',
  'flash, not threaded',
  'haematoma',
  'pulse lost in spasm',
  'patient moved',
] as const;
/** After so many failed tries the next may try; after so many hands the animal goes without a line. */
const [triesOfOne, handsOfOne] = [3, 3];

/**
 * The whole record of an invented ward over a year. Each line's animal and fate are drawn; what people then record, and what the
 * bot reminds them of, comes about on the ward's own clock by the same duties, ladder and door as on any ward. What was put
 * into it stands in `inventedYear`.
 */
export function yearOfLines({ seed, lines, endMs, zone }: YearChoices): WardCopy {
  const chance = chanceFrom(String(seed));
  const beginMs = endMs - yearMs;
  const care = new Map<InventedLine, CareOfLine>();
  const ward = new InventedWard({ id: 'T0PRACTICE.C0WARDEAST', zone, beginMs }, chance.of('ward'), (line) =>
    care.get(line)?.draw(),
  );
  const { clinicians, lead } = inventedYear;
  const policy = {
    ...defaultPolicy(zone),
    clinicians: [...clinicians],
    lead,
    rota: { day: clinicians[0], night: clinicians[1] },
  };
  ward.recordOnWard({ kind: 'policySet', body: { policy } }, lead);
  const weeks = chance.of('weeks');
  for (let week = 0; week < 52; week += 1) {
    const user = weeks.pick(clinicians);
    ward.later((week + weeks.share()) * 7 * 24 * hourMs, () =>
      ward.recordOnWard({ kind: 'onCallSet', body: { user } }, lead),
    );
    if (weeks.happens(0.2))
      ward.later((week + weeks.share()) * 7 * 24 * hourMs, () => coverSomebody(ward, weeks));
  }
  const operators = new Operators(beginMs);
  const times = chance.of('times');
  // Whoever is tried in the last hours of a year has a line before its end.
  const untilMs = yearMs - 6 * hourMs;
  for (let number = 1; number <= lines; number += 1) {
    const own = chance.of(`line ${number}`);
    ward.later(times.between(0, untilMs), () =>
      new Placing(ward, operators, own).begin((life, body, by) => {
        const line = ward.place(`line-${number}`, body, by);
        const cared = new CareOfLine(ward, line, life, own);
        care.set(line, cared);
        cared.draw();
      }),
    );
  }
  ward.liveUntil(endMs);
  const listed = new Set(ward.listed.map(({ id }) => id));
  return {
    wardId: ward.ward.id,
    wardEntries: ward.wardEntries,
    lines: inOrderRecorded(ward.lines.map(({ id, entries }) => ({ id, listed: listed.has(id), entries }))),
  };
}

/** A nurse is away for some days, and another has what would be hers. */
function coverSomebody(ward: InventedWard, chance: Chance): void {
  const away = chance.pick(inventedYear.nurses);
  const by = chance.pick(inventedYear.nurses);
  const until = ward.now + Math.round(chance.between(1, 4)) * 24 * hourMs;
  if (away !== by) ward.recordOnWard({ kind: 'coverSet', body: { away, by, until } }, inventedYear.lead);
}

/** Whose hand fails how often by now. */
class Operators {
  private readonly tries = new Map<string, number>();
  private readonly beginMs: number;

  constructor(beginMs: number) {
    this.beginMs = beginMs;
  }

  /** Who tries first, or next after others. */
  drawn(chance: Chance, now: number, before: readonly Operator[]): Operator | null {
    const share = (now - this.beginMs) / yearMs;
    const free = inventedYear.operators.filter((one) => share < one.until && !before.includes(one));
    if (free.length === 0) return null;
    const user = chance.weighted(Object.fromEntries(free.map((one) => [one.user, one.weight])));
    return free.find((one) => one.user === user) ?? null;
  }

  fails(chance: Chance, { user, learnsIn, failsAtFirst, fails }: Operator): boolean {
    const made = this.tries.get(user) ?? 0;
    this.tries.set(user, made + 1);
    return chance.happens(made < learnsIn ? failsAtFirst : fails);
  }
}

type Placed = (life: LineLife, body: Parameters<InventedWard['place']>[1], by: string) => void;

/** Tries at one animal, by one after another, until its line is in. */
class Placing {
  private readonly ward: InventedWard;
  private readonly operators: Operators;
  private readonly chance: Chance;
  private readonly without: readonly string[];
  private readonly life: LineLife;
  private readonly isTold: boolean;

  /** `without`: names of animals that were tried just before, in vain. */
  constructor(ward: InventedWard, operators: Operators, chance: Chance, without: readonly string[] = []) {
    this.ward = ward;
    this.operators = operators;
    this.chance = chance;
    this.without = without;
    this.life = drawnLife(
      chance,
      new Set([...without, ...ward.listed.map(({ state }) => state.patient.name)]),
    );
    this.isTold = !chance.happens(inventedYear.triesUnrecorded);
  }

  begin(done: Placed): void {
    this.tryBy([], done);
  }

  private tryBy(before: readonly Operator[], done: Placed): void {
    const { ward, chance, life } = this;
    const operator = this.operators.drawn(chance, ward.now, before) ?? before[0];
    if (!operator) throw new Error('nobody places lines on the invented ward');
    let failed = 0;
    while (failed < triesOfOne && this.operators.fails(chance, operator)) failed += 1;
    const waitMs = (failed + 1) * chance.between(2, 6) * minuteMs;
    const isLast = before.length + 1 >= handsOfOne;
    ward.later(waitMs, () => {
      if (failed < triesOfOne) {
        const tries = this.isTold ? { tries: failed + 1 } : {};
        const nurse = ward.nurseAt(ward.now);
        done(life, { ...life.placed, nurse, operator: operator.user, ...tries }, operator.user);
        return;
      }
      this.recordFailed(operator, failed);
      if (isLast || chance.happens(inventedYear.goesWithout)) this.goOnToTheNext(done);
      else this.tryBy([...before, operator], done);
    });
  }

  /** The animal goes without a line, and soon another needs one in its place. */
  private goOnToTheNext(done: Placed): void {
    const { ward, operators, chance, life } = this;
    const without = [...this.without, life.placed.patient.name];
    ward.later(chance.between(5, 40) * minuteMs, () =>
      new Placing(ward, operators, chance, without).begin(done),
    );
  }

  private recordFailed({ user }: Operator, tries: number): void {
    if (!this.isTold) return;
    const { patient, site, side, gauge } = this.life.placed;
    const { name, species } = patient;
    const why = this.chance.pick(failures);
    const body = {
      patient: { name, species },
      site,
      ...(side ? { side } : {}),
      gauge,
      operator: user,
      tries,
      why,
    };
    this.ward.recordOnWard({ kind: 'triesFailed', body }, user);
  }
}
