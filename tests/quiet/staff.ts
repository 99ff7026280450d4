import type { Duty } from '../../src/domain/duties/duty.ts';
import { usualDrafts } from '../../src/domain/duties/usual-drafts.ts';
import type { DutyKind } from '../../src/domain/duty-kind.ts';
import type { PlannedPost } from '../../src/domain/ladder/wake-plan.ts';
import { nextShiftStart, shiftAt } from '../../src/domain/shifts/shift-calendar.ts';
import { nurseOf } from '../../src/domain/ward/on-call.ts';
import type { Chance } from '../../src/invented/chance.ts';
import type { SimulatedWard } from './simulated-ward.ts';
import { isNight } from './tally.ts';

const minuteMs = 60_000;
const hourMs = 60 * minuteMs;

/** How a ward's people behave. */
export interface Manner {
  name: string;
  /** Share of messages acted on. */
  acts: number;
  /** Minutes from message to bedside. */
  afterMin: [number, number];
  /** Share of samples, and of redresses, after which the line is zeroed there and then. */
  zeroesAfterSample: number;
  zeroesAfterRedress: number;
  /** Share of holds whose end is told without being asked. */
  tellsHold: number;
}

/** Staff as the published goals name them. What each does is invented: nobody's hands were timed. */
export const manners = {
  perfect: {
    name: 'perfect',
    acts: 1,
    afterMin: [0, 0],
    zeroesAfterSample: 1,
    zeroesAfterRedress: 1,
    tellsHold: 1,
  },
  punctual: {
    name: 'punctual',
    acts: 1,
    afterMin: [2, 8],
    zeroesAfterSample: 0.9,
    zeroesAfterRedress: 0.95,
    tellsHold: 0.9,
  },
  overloaded: {
    name: 'overloaded',
    acts: 0.6,
    afterMin: [10, 40],
    zeroesAfterSample: 0.3,
    zeroesAfterRedress: 0.95,
    tellsHold: 0.3,
  },
  absent: {
    name: 'absent',
    acts: 0,
    afterMin: [0, 0],
    zeroesAfterSample: 0,
    zeroesAfterRedress: 0,
    tellsHold: 0,
  },
} as const satisfies Record<string, Manner>;

export const clinician = 'vet';

/** The nurses on in the shift that runs at `atMs`: one for about six lines by day, for about twelve by night. */
export function nursesOn(ward: SimulatedWard, atMs: number, lines: number): string[] {
  const { name } = shiftAt(ward.ward.policy.shifts, atMs);
  const count = Math.max(1, Math.round(lines / (name === 'day' ? 6 : 12)));
  return Array.from({ length: count }, (_, index) => `${name}${index + 1}`);
}

/** People of one simulated ward, who act on what they are told. */
export class Staff {
  private readonly ward: SimulatedWard;
  private readonly chance: Chance;
  private readonly manner: Manner;
  private readonly size: number;

  constructor(ward: SimulatedWard, chance: Chance, manner: Manner, size: number) {
    this.ward = ward;
    this.chance = chance;
    this.manner = manner;
    this.size = size;
  }

  /** Fills the ward and sets its people to work until `untilMs`. */
  begin(untilMs: number): void {
    for (let index = 0; index < this.size; index++) this.admit(true);
    if (this.manner.acts > 0) this.startShift(untilMs);
  }

  hears(post: PlannedPost): void {
    const { manner, chance, ward } = this;
    if (!('duties' in post) || manner.acts === 0 || post.to === 'lead') return;
    if (post.what === 'nobody on call' || post.what === 'nobody answered') return;
    if (post.to === 'clinician' || post.to === 'backup') return this.clinicianHears(post.duties);
    const byNurse = Map.groupBy(post.duties, ({ lineId }) => {
      const line = ward.lines.get(lineId);
      return line ? nurseOf(ward.ward, line, ward.now) : '';
    });
    for (const [nurse, duties] of byNurse) {
      if (!chance.happens(manner.acts)) continue;
      const [low, high] = manner.afterMin;
      ward.later(chance.between(low, high) * minuteMs, () => this.visit(nurse, duties));
    }
  }

  private visit(nurse: string, duties: readonly Duty[]): void {
    for (const [lineId, mine] of Map.groupBy(duties, (duty) => duty.lineId))
      this.care(nurse, lineId, new Set(mine.map(({ kind }) => kind)));
  }

  private care(nurse: string, lineId: string, kinds: ReadonlySet<DutyKind>): void {
    const { ward, chance } = this;
    const open = ward
      .duties(lineId)
      .filter(({ kind, earliestAt }) => kinds.has(kind) && earliestAt <= ward.now);
    const here = open.map(({ kind }) => kind);
    for (const draft of usualDrafts(here)) {
      const finds = draft.kind === 'siteChecked' && chance.happens(0.005);
      ward.record(lineId, finds ? { kind: 'siteChecked', body: { finding: { ooze: true } } } : draft, nurse);
    }
    // A redress asks for a zero: whoever stands there does it.
    if (here.includes('redress') && chance.happens(this.manner.zeroesAfterRedress)) this.zero(nurse, lineId);
    if (here.includes('set') || here.includes('runOut'))
      ward.record(
        lineId,
        {
          kind: 'sourceChanged',
          body: {
            source: { kind: 'pressure bag', volumeMl: 500, rateMlPerH: 3, pressureMmHg: 300 },
            newSet: here.includes('set'),
          },
        },
        nurse,
      );
    if (here.includes('set')) this.zero(nurse, lineId);
    if (here.includes('dwellWarning') || here.includes('dwellLimit')) this.takeOut(nurse, lineId);
  }

  private zero(nurse: string, lineId: string): void {
    for (const draft of usualDrafts(['zero', 'test'])) this.ward.record(lineId, draft, nurse);
  }

  private takeOut(nurse: string, lineId: string): void {
    const line = this.ward.lines.get(lineId);
    if (!line || line.removed) return;
    this.ward.record(lineId, { kind: 'removed', body: { reason: 'planned', finding: {} } }, nurse);
    const hold = this.ward.duties(lineId).find(({ kind }) => kind === 'hold');
    if (hold && this.chance.happens(this.manner.tellsHold))
      this.ward.later(hold.dueAt - this.ward.now + this.chance.between(0, 60_000), () => {
        const isOpen = this.ward.duties(lineId).some(({ kind }) => kind === 'hold');
        if (isOpen) this.ward.record(lineId, { kind: 'holdEnded', body: { oozing: false } }, nurse);
      });
    this.admit(false);
  }

  private clinicianHears(duties: readonly Duty[]): void {
    const { ward, chance, manner } = this;
    if (!chance.happens(Math.max(manner.acts, 0.8))) return;
    const asleep = isNight(ward.ward, ward.now);
    const [low, high] = asleep ? [5, 20] : [3, 12];
    ward.later(chance.between(low, high) * minuteMs, () => {
      for (const { lineId, kind } of duties) {
        const open = ward.duties(lineId).find((duty) => duty.kind === kind);
        if (!open) continue;
        if (kind === 'finding')
          ward.record(lineId, { kind: 'siteChecked', body: { finding: {} } }, clinician);
        else if (kind === 'stillNeeded')
          ward.record(
            lineId,
            {
              kind: 'waived',
              body: { duty: kind, dueAt: open.dueAt, reason: 'still needed', until: ward.now + 24 * hourMs },
            },
            clinician,
          );
        else if (kind === 'dwellLimit' || kind === 'dwellWarning') this.takeOut(clinician, lineId);
        else
          ward.record(
            lineId,
            { kind: 'claimed', body: { duties: [[kind, open.dueAt]], until: ward.now + 30 * minuteMs } },
            clinician,
          );
      }
    });
  }

  private startShift(untilMs: number): void {
    const { ward, chance } = this;
    const accept = () => {
      const { startMs } = shiftAt(ward.ward.policy.shifts, ward.now);
      const nurses = nursesOn(ward, ward.now, this.size);
      const owed = ward.ward.handovers.some((one) => one.for === startMs && one.accepted === null);
      if (owed) ward.recordOnWard({ kind: 'handoverAccepted', body: { for: startMs } }, nurses[0] ?? 'day1');
      for (const [index, { id }] of ward.listed().entries())
        ward.record(
          id,
          { kind: 'assigned', body: { nurse: nurses[index % nurses.length] ?? 'day1' } },
          nurses[0] ?? 'day1',
        );
      const next = nextShiftStart(ward.ward.policy.shifts, ward.now);
      if (next < untilMs) ward.later(next - ward.now + chance.between(1, 6) * minuteMs, accept);
    };
    ward.later(0, accept);
  }

  private admit(atStart: boolean): void {
    const { ward, chance } = this;
    const nurses = nursesOn(ward, ward.now, this.size);
    const isCat = chance.happens(0.25);
    const isManual = chance.happens(0.6);
    const agoH = atStart ? chance.between(0, isCat ? 4 : 20) : 0;
    const id = ward.place(
      {
        patient: {
          name: `Patient ${ward.lines.size + 1}`,
          species: isCat ? 'cat' : 'dog',
          weightKg: isCat ? 4 : 25,
        },
        site: 'dorsal pedal',
        side: 'left',
        gauge: isCat ? 24 : 20,
        flushMode: isManual ? 'manual' : 'continuous',
        ...(isManual
          ? {}
          : { source: { kind: 'pressure bag', volumeMl: 500, rateMlPerH: 3, pressureMmHg: 300 } as const }),
        nurse: nurses[chance.happens(0.5) ? 0 : nurses.length - 1] ?? 'day1',
        operator: clinician,
      },
      Math.round(ward.now - agoH * hourMs),
    );
    if (this.manner.acts === 0) return;
    // Whoever placed it zeroes and tests it there and then.
    ward.later(chance.between(1, 8) * minuteMs, () => this.zero('placer', id));
    this.sampleLater(id);
    if (!isCat) ward.later(chance.exponential(48) * hourMs, () => this.takeOut(nurses[0] ?? 'day1', id));
  }

  private sampleLater(lineId: string): void {
    const { ward, chance, manner } = this;
    ward.later(chance.exponential(8) * hourMs, () => {
      const line = ward.lines.get(lineId);
      if (!line || line.removed) return;
      const nurse = nurseOf(ward.ward, line, ward.now);
      ward.record(
        lineId,
        { kind: 'sampled', body: { volumeMl: 1, discardMl: 2, discardReturned: true, flushed: true } },
        nurse,
      );
      if (chance.happens(manner.zeroesAfterSample)) this.zero(nurse, lineId);
      this.sampleLater(lineId);
    });
  }
}
