import { animalsOf } from '../../../src/domain/animal/animal.ts';
import type { Period } from '../../../src/domain/audit/line-course.ts';
import type { LineLogs } from '../../../src/domain/audit/ward-audit.ts';
import type { Species } from '../../../src/domain/patient/species.ts';
import type { WardPolicy } from '../../../src/domain/policy/ward-policy.ts';
import type { Entry, EntryOf } from '../../../src/domain/record/entry.ts';
import { shiftAt } from '../../../src/domain/shifts/shift-calendar.ts';
import type { WardEntry } from '../../../src/domain/ward/ward-entry.ts';
import { hour } from '../../support/line-builder.ts';

/*
 * Every figure counted once more from the raw entries, as somebody would with a pencil: no state, no fold, nothing of what the
 * audit is made of but the shift calendar. Slow and plain on purpose.
 */

/** A ward's whole record. */
export interface WardRecord {
  wardEntries: readonly WardEntry[];
  lines: readonly LineLogs[];
}

/** What somebody with a pencil reads off one line's log, all amendments made. */
interface PencilLine {
  id: string;
  entries: readonly Entry[];
  placed: EntryOf<'placed'>;
  /** What happened to it up to the end of the time looked at, in order. */
  told: Entry[];
  out: EntryOf<'removed'> | null;
}

/** Whether an amendment that stands strikes the entry. */
function isStruck(log: readonly Entry[], number: number): boolean {
  return log.some(
    ({ kind, body }, index) =>
      kind === 'amended' &&
      index + 1 > number &&
      body.target === number &&
      body.strike !== undefined &&
      !isStruck(log, index + 1),
  );
}

/** A log with its amendments made: an amendment stands unless one that stands strikes it. */
function putRight(log: readonly Entry[]): Entry[] {
  const stands = (number: number) => !isStruck(log, number);
  return log
    .flatMap((entry, index) => {
      if (entry.kind === 'amended' || !stands(index + 1)) return [];
      const right = { ...entry, body: { ...entry.body } } as Entry;
      log.forEach((other, later) => {
        if (other.kind !== 'amended' || other.body.target !== index + 1 || !stands(later + 1)) return;
        right.at = other.body.at ?? right.at;
        Object.assign(right.body, other.body.body);
      });
      return [right];
    })
    .toSorted((a, b) => a.at - b.at);
}

const failing = ['occluded', 'dislodged', 'bleeding', 'swelling', 'infection', 'pulse or limb change'];

function pencilLines({ lines }: WardRecord, { toMs }: Period): PencilLine[] {
  return lines.flatMap(({ id, entries }) => {
    // Registered in error: there is no such line, whatever was told of it.
    if (isInError({ id, entries })) return [];
    const all = putRight(entries);
    const [placed] = all;
    if (placed?.kind !== 'placed') throw new Error('a log begins with its placing');
    const told = all.filter(({ at }) => at < toMs);
    const out = told.find((entry) => entry.kind === 'removed') ?? null;
    return placed.at < toMs ? [{ id, entries, placed, told, out }] : [];
  });
}

function isInError({ entries }: LineLogs): boolean {
  return !putRight(entries).some(({ kind }) => kind === 'placed');
}

function tally(keys: readonly string[]): Record<string, number> {
  return Object.fromEntries([...new Set(keys)].map((key) => [key, keys.filter((one) => one === key).length]));
}

/** The middle of what lies in order. */
function middle(values: readonly number[]): number | null {
  const sorted = values.toSorted((a, b) => a - b);
  if (sorted.length === 0) return null;
  const half = sorted.length / 2;
  return ((sorted[Math.ceil(half) - 1] ?? 0) + (sorted[Math.floor(half)] ?? 0)) / 2;
}

/** When each kind of complication was first told of a line that was in. */
function complications({ told, out }: PencilLine): { kind: string; at: number }[] {
  const until = out ? told.indexOf(out) : told.length - 1;
  const seen = told.slice(0, until + 1).flatMap((entry): { kind: string; at: number }[] => {
    const kinds: string[] = [];
    if (entry.kind === 'siteChecked' || entry.kind === 'redressed' || entry.kind === 'removed') {
      const { swelling, ooze, cold, noPulse } = entry.body.finding ?? {};
      if (swelling) kinds.push('swelling');
      if (ooze) kinds.push('bleeding');
      if (cold || noPulse) kinds.push('pulse or limb change');
    }
    if (entry.kind === 'pulseChecked' && (entry.body.pulse === 'absent' || entry.body.cold))
      kinds.push('pulse or limb change');
    if (entry.kind === 'removed' && failing.includes(entry.body.reason)) kinds.push(entry.body.reason);
    return kinds.map((kind) => ({ kind, at: entry.at }));
  });
  return [...new Set(seen.map(({ kind }) => kind))].flatMap(
    (kind) => seen.find((one) => one.kind === kind) ?? [],
  );
}

function msIn({ placed, out }: PencilLine, { fromMs, toMs }: Period): number {
  return Math.max(0, (out?.at ?? toMs) - Math.max(placed.at, fromMs));
}

/** Share that did not fail, after all who did: at each failure those still in, one by one. */
function survivalAtEnd(followed: readonly { ms: number; failed: boolean }[]): number {
  let share = 1;
  for (const time of new Set(followed.filter(({ failed }) => failed).map(({ ms }) => ms))) {
    const left = followed.filter(({ ms }) => ms >= time).length;
    const fail = followed.filter(({ ms, failed }) => failed && ms === time).length;
    share *= (left - fail) / left;
  }
  return share;
}

function numbers(all: readonly PencilLine[], period: Period) {
  const { fromMs, toMs } = period;
  const within = (at: number) => at >= fromMs && at < toMs;
  const lines = all.filter(({ out }) => out === null || out.at >= fromMs);
  const placed = lines.filter((line) => within(line.placed.at));
  const out = lines.filter((line) => line.out !== null && within(line.out.at));
  const days = lines.reduce((sum, line) => sum + msIn(line, period), 0) / (24 * hour);
  const found = lines.flatMap(complications).filter(({ at }) => within(at));
  const followed = placed.map((line) => ({
    ms: (line.out?.at ?? toMs) - line.placed.at,
    failed: line.out !== null && failing.includes(line.out.body.reason),
  }));
  return {
    lines: lines.length,
    placed: placed.length,
    out: out.length,
    lineDays: days,
    sites: tally(lines.map((line) => line.placed.body.site)),
    dwell: middle(out.map((line) => (line.out?.at ?? 0) - line.placed.at)),
    reasons: tally(out.flatMap((line) => line.out?.body.reason ?? [])),
    failed: followed.filter(({ failed }) => failed).length,
    exposureMs: followed.reduce((sum, { ms }) => sum + ms, 0),
    survival: survivalAtEnd(followed),
    byKind: tally(found.map(({ kind }) => kind)),
    per100: days > 0 ? (100 * found.length) / days : null,
    linesWithOne: out.filter((line) => complications(line).length > 0).length,
    removedForOne: out.filter((line) => line.out && failing.includes(line.out.body.reason)).length,
  };
}

/** Blood by animal, over all its lines. Whose a line is has tests of its own and is taken from there. */
function bloodOf(all: readonly PencilLine[], { fromMs }: Period, policyAt: (at: number) => WardPolicy) {
  const perKg: Partial<Record<Species, number>> = {
    dog: 85,
    rabbit: 56,
    bird: 60,
    pig: 65,
    goat: 70,
    horse: 75,
    foal: 75,
    cattle: 60,
    calf: 60,
    sheep: 60,
  };
  const whose = animalsOf(
    all.map(({ id, placed: { at, body }, out }) => ({
      line: id,
      animal: body.animal ?? null,
      patient: body.patient,
      at,
      until: out?.at ?? null,
    })),
  );
  const lost = all.flatMap(({ id, told }) =>
    told.flatMap(({ at, kind, body }) => {
      if (kind === 'disturbed') return [{ id, at, ml: body.bloodLostMl ?? 0, isSample: false }];
      if (kind !== 'sampled') return [];
      const thrown = body.discardReturned ? 0 : (body.discardMl ?? 0);
      return [{ id, at, ml: body.volumeMl + thrown, isSample: true }];
    }),
  );
  const counted = lost.filter(({ at, ml, isSample }) => at >= fromMs && (isSample || ml > 0));
  const animals = [...new Set(counted.map(({ id }) => whose.get(id)))].map((animal) => {
    const theirs = counted.filter(({ id }) => whose.get(id) === animal);
    const percentAt = ({ at }: { at: number }) => {
      const known = all
        .filter((line) => whose.get(line.id) === animal && line.placed.at <= at)
        .toSorted((a, b) => patientRecordedAt(a) - patientRecordedAt(b) || (a.id < b.id ? -1 : 1));
      const { species, weightKg } = known.at(-1)?.placed.body.patient ?? { species: 'dog', weightKg: 1 };
      const day = lost.filter(
        (one) => whose.get(one.id) === animal && one.at <= at && one.at > at - 24 * hour,
      );
      return (100 * day.reduce((sum, { ml }) => sum + ml, 0)) / ((perKg[species] ?? 55) * weightKg);
    };
    return {
      most: Math.max(...theirs.map(percentAt)),
      isBeyond: theirs.some((one) => percentAt(one) > policyAt(one.at).bloodWarnPercent),
    };
  });
  return {
    samples: counted.filter(({ isSample }) => isSample).length,
    ml: counted.reduce((sum, { ml }) => sum + ml, 0),
    animals: animals.length,
    most: animals.length > 0 ? Math.max(...animals.map(({ most }) => most)) : null,
    beyond: animals.filter(({ isBeyond }) => isBeyond).length,
  };
}

/** When what is known of the animal was told last on a line. */
function patientRecordedAt({ entries, placed }: PencilLine): number {
  const put = entries.filter(
    (entry, index) =>
      entry.kind === 'amended' &&
      entry.body.target === 1 &&
      entry.body.strike === undefined &&
      entry.body.body !== undefined &&
      'patient' in entry.body.body &&
      !isStruck(entries, index + 1),
  );
  return put.at(-1)?.told ?? placed.told;
}

/** Reminders by when they were sent: a line's log may have one a little later, behind a clock that was ahead. */
function remindersOf(
  { lines }: WardRecord,
  all: readonly PencilLine[],
  period: Period,
  shifts: WardPolicy['shifts'],
) {
  const { fromMs, toMs } = period;
  const told = lines
    .flatMap(({ entries }) => entries)
    .filter((entry) => entry.kind === 'nudged' || entry.kind === 'escalated')
    .filter(({ told: at }) => at >= fromMs && at < toMs);
  const reader = (entry: (typeof told)[number]) => {
    if (entry.kind === 'nudged') return 'nudges';
    if (entry.body.to === 'nurse' || entry.body.to === 'lead') return 'toNurse';
    return entry.body.user === undefined ? 'toNobody' : 'toClinician';
  };
  const pings = [
    ...new Set(
      told
        .filter(({ body }) => !('joins' in body) || body.joins === undefined)
        .map((entry) =>
          [entry.told, reader(entry), entry.kind === 'escalated' ? entry.body.user : entry.body.nurse].join(
            ' ',
          ),
        ),
    ),
  ];
  const count = (whom: string) => pings.filter((ping) => ping.split(' ')[1] === whom).length;
  const begins = new Set<number>();
  const sum = { nudges: [] as number[], beyond: [] as number[] };
  const inAt = all.filter((line) => msIn(line, period) > 0);
  const starts = [
    ...told.map((entry) => entry.told),
    ...inAt.map((line) => Math.max(line.placed.at, fromMs)),
  ];
  for (let { startMs } = shiftAt(shifts, Math.min(...starts, toMs - 1)); startMs < toMs; ) {
    begins.add(startMs);
    startMs = shiftAt(shifts, startMs).endMs;
  }
  for (const startMs of begins) {
    const endMs = Math.min(shiftAt(shifts, startMs).endMs, toMs);
    const mine = pings.filter(
      (ping) => Number.parseInt(ping, 10) >= startMs && Number.parseInt(ping, 10) < endMs,
    );
    const hadLine = inAt.some(
      (line) =>
        Math.max(line.placed.at, fromMs) < endMs && (line.out?.at ?? toMs) > Math.max(startMs, fromMs),
    );
    if (mine.length === 0 && !hadLine) continue;
    const nudges = mine.filter((ping) => ping.includes(' nudges')).length;
    sum.nudges.push(nudges);
    sum.beyond.push(mine.length - nudges);
  }
  const days = all.reduce((total, line) => total + msIn(line, period), 0) / (24 * hour);
  const lineNudges = told.filter(({ kind }) => kind === 'nudged').length;
  return {
    messages: {
      nudges: count('nudges'),
      toNurse: count('toNurse'),
      toClinician: count('toClinician'),
      toNobody: count('toNobody'),
    },
    // Over less than a line-day no rate is given.
    nudgesPerLineDay: days >= 1 ? lineNudges / days : null,
    escalationsPerLineDay: days >= 1 ? (told.length - lineNudges) / days : null,
    shifts: sum.nudges.length,
    mostNudges: sum.nudges.length > 0 ? Math.max(...sum.nudges) : null,
    mostBeyond: sum.beyond.length > 0 ? Math.max(...sum.beyond) : null,
    byDuty: tally(told.flatMap(({ body }) => body.duties.map(([kind]) => kind))),
  };
}

/** What the two looks at a limb found. The first counts from half its time on, the next day's from 6 h before its own. */
function pulsesOf(all: readonly PencilLine[], { fromMs }: Period, policyAt: (at: number) => WardPolicy) {
  const gone = all.filter(({ out }) => out !== null && out.at >= fromMs);
  const followed = gone.filter(({ out }) => out && !['death', 'transfer'].includes(out.body.reason));
  const looks = followed.map(({ told, out, placed }) => {
    const outAt = out?.at ?? 0;
    const { pulseFirstH, pulseNextDayH } = policyAt(outAt);
    // Nothing is asked of a limb before the bot knew of the line.
    const known = Math.max(placed.told, placed.at);
    const first = Math.max(outAt + pulseFirstH * hour, known) - (pulseFirstH * hour) / 2;
    const next = Math.max(outAt + pulseNextDayH * hour, known) - 6 * hour;
    const checks = told.slice(out ? told.indexOf(out) : 0).filter((entry) => entry.kind === 'pulseChecked');
    return {
      first: checks.findLast(({ at }) => at >= first && at < next)?.body.pulse ?? 'nothing',
      nextDay: checks.findLast(({ at }) => at >= next)?.body.pulse ?? 'nothing',
    };
  });
  return {
    removed: gone.length,
    followedUp: followed.length,
    first: tally(looks.map(({ first }) => first)),
    nextDay: tally(looks.map(({ nextDay }) => nextDay)),
  };
}

interface PencilTry {
  at: number;
  by: string;
  succeeded: boolean;
  placing: string;
}

/** All tries that were told, each placing with its own, whatever came of it later. */
function triesOf({ wardEntries, lines }: WardRecord): PencilTry[] {
  const struck = wardEntries.flatMap(({ kind, body }) => (kind === 'triesStruck' ? [body.target] : []));
  const told = [
    ...wardEntries.flatMap((entry, index) =>
      entry.kind === 'triesFailed' && !struck.includes(index + 1)
        ? [
            {
              is: 'failed' as const,
              at: entry.at,
              id: '',
              number: index,
              by: entry.body.operator,
              body: entry.body,
            },
          ]
        : [],
    ),
    ...lines
      .toSorted((a, b) => (a.id < b.id ? -1 : 1))
      .flatMap(({ id, entries }) => {
        const placed = putRight(entries)[0];
        if (placed?.kind !== 'placed') return [];
        const { at, body } = placed;
        return [{ is: 'placed' as const, at, id, number: 0, by: body.operator ?? placed.by, body }];
      }),
  ].toSorted((a, b) => a.at - b.at || (a.is === 'failed' ? 0 : 1) - (b.is === 'failed' ? 0 : 1));
  const animal = (one: (typeof told)[number]) => {
    // Of one animal everything goes by the name that its latest line has.
    const line = told.findLast(
      ({ is, body }) => is === 'placed' && body.animal !== undefined && body.animal === one.body.animal,
    );
    const { species, name } = (line ?? one).body.patient;
    return `${species} ${name.trim().toLowerCase()}`;
  };
  const tries: PencilTry[] = [];
  for (const who of new Set(told.map(animal))) {
    let open: typeof told = [];
    let number = 0;
    const close = () => {
      number += 1;
      const placing = `${who} ${number}`;
      const last = open.at(-1);
      const failed = open.flatMap((one) => (one.is === 'failed' ? [one] : []));
      const add = (times: number, one: Omit<PencilTry, 'placing'>) => {
        for (let i = 0; i < times; i++) tries.push({ ...one, placing });
      };
      for (const { at, by, body } of failed) add(body.tries, { at, by, succeeded: false });
      if (last?.is === 'placed' && (last.body.tries !== undefined || failed.length > 0)) {
        const same = failed.filter(
          ({ by, body }) => by === last.by && body.site === last.body.site && body.side === last.body.side,
        );
        const before = same.reduce((sum, { body }) => sum + body.tries, 0);
        add((last.body.tries ?? 1) - 1 - before, { at: last.at, by: last.by, succeeded: false });
        add(1, { at: last.at, by: last.by, succeeded: true });
      }
      open = [];
    };
    for (const one of told.filter((other) => animal(other) === who)) {
      const before = open.at(-1);
      if (before && (before.is === 'placed' || one.at - before.at > 12 * hour)) close();
      open.push(one);
    }
    close();
  }
  return tries;
}

function placingsOf(tries: readonly PencilTry[], { fromMs, toMs }: Period) {
  const within = ({ at }: PencilTry) => at >= fromMs && at < toMs;
  const placings = [...new Set(tries.map(({ placing }) => placing))].map((placing) =>
    tries.filter((one) => one.placing === placing),
  );
  const mine = placings.flatMap((all) => {
    const [first] = all.toSorted((a, b) => a.at - b.at);
    return first && within(first) ? [{ first, all }] : [];
  });
  return {
    tries: tries.filter(within).length,
    told: tries.filter((one) => one.succeeded && within(one)).length,
    firsts: mine.length,
    firstsGood: mine.filter(({ first }) => first.succeeded).length,
    byOperator: tally(mine.map(({ first }) => first.by)),
    withoutLine: mine.filter(({ all }) => !all.some(({ succeeded }) => succeeded)).length,
    // A curve has every try up to the end.
    curves: tally(tries.filter(({ at }) => at < toMs).map(({ by }) => by)),
    failures: tally(tries.filter(({ at, succeeded }) => at < toMs && !succeeded).map(({ by }) => by)),
  };
}

function downOf({ wardEntries }: WardRecord, { fromMs, toMs }: Period) {
  const outages = wardEntries.flatMap(({ kind, body }) => (kind === 'wasDown' ? [body] : []));
  let ms = 0;
  for (const { from, to } of outages) ms += Math.max(0, Math.min(to, toMs) - Math.max(from, fromMs));
  const back = outages.filter(({ to }) => to >= fromMs && to < toMs);
  return { ms, missed: back.reduce((sum, { missed }) => sum + missed, 0) };
}

/** The figures of a ward over a period. `policyAt`: what it went by at an instant. */
export function recounted(logs: WardRecord, policyAt: (at: number) => WardPolicy, period: Period) {
  const all = pencilLines(logs, period);
  const tries = triesOf(logs);
  const species = [...new Set(all.map(({ placed }) => placed.body.patient.species))];
  return {
    all: numbers(all, period),
    inError: logs.lines.filter(
      (line) =>
        isInError(line) &&
        (line.entries[0]?.at ?? 0) >= period.fromMs &&
        (line.entries[0]?.at ?? 0) < period.toMs,
    ).length,
    bySpecies: Object.fromEntries(
      species.flatMap((one) => {
        const theirs = numbers(
          all.filter(({ placed }) => placed.body.patient.species === one),
          period,
        );
        return theirs.lines > 0 ? [[one, theirs]] : [];
      }),
    ),
    alerts: remindersOf(logs, all, period, policyAt(period.toMs - 1).shifts),
    pulses: pulsesOf(all, period, policyAt),
    blood: bloodOf(all, period, policyAt),
    placings: placingsOf(tries, period),
    down: downOf(logs, period),
  };
}
