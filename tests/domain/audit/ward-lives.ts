import type { Period } from '../../../src/domain/audit/line-course.ts';
import { dutiesOfLine } from '../../../src/domain/duties/duties-of-line.ts';
import { planWake } from '../../../src/domain/ladder/plan-wake.ts';
import type { Species } from '../../../src/domain/patient/species.ts';
import type { Entry } from '../../../src/domain/record/entry.ts';
import { shiftAt } from '../../../src/domain/shifts/shift-calendar.ts';
import type { WardDraft, WardEntry } from '../../../src/domain/ward/ward-entry.ts';
import { foldWardNext, newWard } from '../../../src/domain/ward/ward-state.ts';
import { type Act, amendAct, answerAct, lateAct, removalDraft } from '../../support/arbitraries.ts';
import { hour, LineLog, minute, testWard, wall } from '../../support/line-builder.ts';
import * as fc from '../../support/properties.ts';
import { entryOf } from '../entry-of-act.ts';
import type { WardRecord } from './recount.ts';

/** A quiet night, and the two on which Berlin changes its clocks. */
const evenings = ['2026-11-24 19:00', '2026-10-24 19:00', '2026-03-28 19:00'].map(wall);
/** Two that differ by case alone are two people. */
const operators = ['ada', 'Ada', 'ben'] as const;
const animals = ['Mochi', ' mochi', 'Biscuit'] as const;
const shortMs = fc.oneof(
  fc.constantFrom(0, 0, minute, 10 * minute, hour),
  fc.integer({ min: 0, max: 90 * minute }),
);

type Placing = {
  does: 'place';
  waitMs: number;
  backMs: number;
  name: string;
  species: Species;
  pump: boolean;
  operator?: string;
  tries?: number;
};
type WardAct = { does: 'ward'; waitMs: number; backMs: number; draft: WardDraft };
type LineAct = { does: 'line'; which: number; act: Act };
type Happening = Placing | WardAct | LineAct;

const placing: fc.Arbitrary<Placing> = fc.record(
  {
    does: fc.constant('place' as const),
    waitMs: shortMs,
    backMs: fc.oneof(fc.constantFrom(0, -2 * minute), fc.integer({ min: 0, max: 7 * hour })),
    name: fc.constantFrom(...animals),
    species: fc.constantFrom<Species[]>('dog', 'cat', 'other'),
    pump: fc.boolean(),
    operator: fc.constantFrom(...operators),
    tries: fc.integer({ min: 1, max: 3 }),
  },
  { requiredKeys: ['does', 'waitMs', 'backMs', 'name', 'species', 'pump'] },
);

const wardTelling: fc.Arbitrary<WardDraft> = fc.oneof(
  fc
    .record({
      name: fc.constantFrom(...animals),
      species: fc.constantFrom<Species[]>('dog', 'cat'),
      operator: fc.constantFrom(...operators),
      tries: fc.integer({ min: 1, max: 3 }),
    })
    .map(
      ({ name, species, operator, tries }): WardDraft => ({
        kind: 'triesFailed',
        body: { patient: { name, species }, site: 'dorsal pedal', side: 'left', operator, tries },
      }),
    ),
  fc.nat({ max: 6 }).map((target): WardDraft => ({ kind: 'triesStruck', body: { target: target + 1 } })),
  fc.record({ flushEveryMin: fc.constantFrom(30, 60, 240), nurse: fc.constantFrom(5, 15) }).map(
    ({ flushEveryMin, nurse }): WardDraft => ({
      kind: 'policySet',
      body: { policy: { ...testWard().policy, flushEveryMin, graceMin: { nurse, clinician: 30 } } },
    }),
  ),
  fc
    .record({ lastedMs: fc.integer({ min: 1, max: 5 * hour }), missed: fc.nat({ max: 4 }) })
    .map(({ lastedMs, missed }): WardDraft => ({ kind: 'wasDown', body: { from: lastedMs, to: 0, missed } })),
);

const lineAct: fc.Arbitrary<Act> = fc.oneof(
  { weight: 6, arbitrary: lateAct },
  { weight: 2, arbitrary: amendAct },
  { weight: 1, arbitrary: answerAct },
  {
    weight: 2,
    arbitrary: fc.record({
      does: fc.constant('record' as const),
      draft: removalDraft,
      waitMs: shortMs,
      backMs: fc.constantFrom(0, 0, -2 * minute, 20 * minute),
    }),
  },
);

const happening: fc.Arbitrary<Happening> = fc.oneof(
  { weight: 2, arbitrary: placing },
  {
    weight: 1,
    arbitrary: fc.record({
      does: fc.constant('ward' as const),
      waitMs: shortMs,
      backMs: shortMs,
      draft: wardTelling,
    }),
  },
  {
    weight: 9,
    arbitrary: fc.record({
      does: fc.constant('line' as const),
      which: fc.nat({ max: 5 }),
      act: lineAct,
    }),
  },
);

/** What came about on a ward in some hours, as its own door and ladder let it; nothing where no line was placed. */
function lived(begunAt: number, happenings: readonly Happening[]): WardRecord {
  const lines: LineLog[] = [];
  const wardEntries: WardEntry[] = [];
  let ward = testWard();
  let now = begunAt;
  const recordOnWard = (draft: WardDraft, at: number) => {
    const entry = { at, told: now, by: 'nina', via: 'form', ...draft } as WardEntry;
    wardEntries.push(entry);
    ward = foldWardNext(ward, entry);
  };
  for (const one of happenings) {
    now += one.does === 'line' ? one.act.waitMs : one.waitMs;
    if (one.does === 'place') {
      const { name, species, pump, operator, tries } = one;
      const id = `line-${lines.length + 1}`;
      const source = { kind: 'pressure bag', volumeMl: 60, rateMlPerH: 3 } as const;
      const line = new LineLog(now - one.backMs, {
        patient: { name, species, weightKg: 5 },
        ...(pump ? { flushMode: 'continuous', source } : {}),
        ...(operator === undefined ? {} : { operator }),
        ...(tries === undefined ? {} : { tries }),
      });
      const [placed] = line.entries;
      if (placed) line.entries.splice(0, 1, { ...placed, told: now });
      lines.push(Object.assign(line, { id }));
    } else if (one.does === 'ward') {
      const { draft } = one;
      if (draft.kind === 'wasDown') {
        const { from: lastedMs, missed } = draft.body;
        recordOnWard({ kind: 'wasDown', body: { from: now - lastedMs, to: now, missed } }, now);
      } else recordOnWard(draft, draft.kind === 'policySet' ? now : now - one.backMs);
    } else {
      const line = lines[one.which % Math.max(lines.length, 1)];
      const entry = line && entryOf(one.act, line.state(), line.entries, ward, now);
      if (entry) line.entries.push(entry);
    }
    const states = lines.map((line) => line.state());
    for (const { lineId, draft } of planWake(ward, states, now).drafts) {
      const line = lines.find(({ id }) => id === lineId);
      // As `wakeWard` writes it down.
      const at = Math.max(now, line?.state().latestAt ?? now);
      line?.entries.push({ at, told: now, by: 'bot', via: 'bot', ...draft } as Entry);
    }
  }
  return { wardEntries, lines: lines.map(({ id, entries }) => ({ id, entries })) };
}

/** Instants at which something of the record turns: all that was told, what is due, shifts, and the ms beside them. */
function turns({ wardEntries, lines }: WardRecord, begunAt: number): number[] {
  const policy = newWard('T0TEST.C0WARD', testWard().policy).policy;
  const end = begunAt + 48 * hour;
  const shifts: number[] = [];
  for (let at = begunAt - 24 * hour; at < end; at = shiftAt(policy.shifts, at).endMs) shifts.push(at);
  const told = [...wardEntries, ...lines.flatMap(({ entries }) => entries)].flatMap((entry) => [
    entry.at,
    entry.told,
    ...(entry.kind === 'amended' && entry.body.at !== undefined ? [entry.body.at] : []),
    ...(entry.kind === 'wasDown' ? [entry.body.from, entry.body.to] : []),
  ]);
  const due = lines.flatMap(({ id, entries }) => {
    const line = new LineLog(0, {}, id);
    line.entries.splice(0, 1, ...entries);
    return dutiesOfLine(line.state(), policy, end).map(({ dueAt }) => dueAt);
  });
  const at = [...told, ...due, ...shifts].filter((one) => one < end);
  return [...new Set(at.flatMap((one) => [one - 1, one, one + 1]))].toSorted((a, b) => a - b);
}

/** A ward's record and two periods side by side, whose ends were chosen to fall on what happened. */
export interface WardLife {
  logs: WardRecord;
  whole: Period;
  before: Period;
  after: Period;
}

/** Wards of some lines that come and go in a night or two, amended, told late, let go and struck. */
export const wardLife: fc.Arbitrary<WardLife> = fc
  .record({
    begunAt: fc.constantFrom(...evenings),
    first: placing,
    happenings: fc.array(happening, { minLength: 5, maxLength: 45, size: 'max' }),
    ends: fc.uniqueArray(fc.nat({ max: 100_000 }), { minLength: 3, maxLength: 3 }),
  })
  .map(({ begunAt, first, happenings, ends }) => {
    const logs = lived(begunAt, [first, ...happenings]);
    const at = turns(logs, begunAt);
    const picked = ends.map((one) => at[one % at.length] ?? begunAt).toSorted((a, b) => a - b);
    const fromMs = picked[0] ?? begunAt;
    const splitMs = Math.max(picked[1] ?? 0, fromMs + 1);
    const toMs = Math.max(picked[2] ?? 0, splitMs + 1);
    return {
      logs,
      whole: { fromMs, toMs },
      before: { fromMs, toMs: splitMs },
      after: { fromMs: splitMs, toMs },
    };
  });
