import { isFollowedUp } from '../domain/duties/after-removal.ts';
import { dutiesOfLine } from '../domain/duties/duties-of-line.ts';
import type { Duty } from '../domain/duties/duty.ts';
import type { DutyKind } from '../domain/duty-kind.ts';
import type { EntryDraft, SiteFinding } from '../domain/record/entry.ts';
import { hourMs, minuteMs } from '../domain/time.ts';
import type { Chance } from './chance.ts';
import { goThroughFault } from './fault-of-line.ts';
import type { InventedLine, InventedWard } from './invented-ward.ts';
import { inventedYear } from './invented-year.ts';
import { drawnSource, findingOf, type LineLife } from './line-life.ts';
import { timeOfDuty } from './time-of-duty.ts';

type Pulse = 'present' | 'weak' | 'absent' | 'cannot tell';

/**
 * How one line of an invented ward is cared for. For each duty that the line's own state brings, once, it is drawn when it is
 * done; where the duty is another by then, nothing is done.
 */
export class CareOfLine {
  private readonly ward: InventedWard;
  private readonly line: InventedLine;
  private readonly life: LineLife;
  private readonly chance: Chance;
  /** Of each kind the due time of the duty that was drawn for last. */
  private readonly drawnFor = new Map<DutyKind, number>();
  private hasRecordedOoze = false;
  private firstPulse: Pulse | null = null;

  /** How each duty is done. */
  private readonly doing: Record<DutyKind, (duty: Duty, at: number) => void> = {
    flush: (_, at) => {
      if (this.chance.happens(0.12) && at === this.ward.now) this.sample();
      else this.record({ kind: 'flushed', body: { volumeMl: this.isSmall() ? 0.5 : 2 } }, at);
    },
    zero: (_, at) => this.zero(at),
    test: (_, at) => {
      const shares = { normal: 78, underdamped: 13, overdamped: 7, 'cannot tell': 2 };
      this.record({ kind: 'fastFlushTested', body: { verdict: this.chance.weighted(shares) } }, at);
    },
    source: (_, at) => {
      const body = this.isSmall() ? {} : { pressureMmHg: this.chance.pick([300, 300, 290, 270]) };
      this.record({ kind: 'sourceChecked', body }, at);
    },
    runOut: (_, at) => this.changeSource(at, false),
    set: (_, at) => this.changeSource(at, true),
    site: (_, at) => this.lookAtSite('siteChecked', at),
    redress: (_, at) => this.lookAtSite('redressed', at),
    stillNeeded: (duty) => this.waive(duty, 24, 'pressors still running'),
    dwellLimit: (duty) => this.waive(duty, 6, 'still unstable, pulse below good'),
    fault: (duty) => this.waive(duty, 24, 'cuff until tomorrow'),
    finding: (duty, at) => this.answerFinding(duty, at),
    hold: (_, at) => void this.record({ kind: 'holdEnded', body: { oozing: this.chance.happens(0.05) } }, at),
    pulse: (duty, at) => this.firstLook(duty, at),
    pulseNextDay: (_, at) => this.nextDayLook(at),
    faultOpen: () => undefined,
    dwellWarning: () => undefined,
  };

  constructor(ward: InventedWard, line: InventedLine, life: LineLife, chance: Chance) {
    this.ward = ward;
    this.line = line;
    this.life = life;
    this.chance = chance;
    this.begin();
  }

  /** Draws when each duty is done that was not drawn for yet. */
  draw(): void {
    for (const duty of dutiesOfLine(this.line.state, this.ward.ward.policy, this.ward.now)) {
      if (this.drawnFor.get(duty.kind) === duty.dueAt) continue;
      this.drawnFor.set(duty.kind, duty.dueAt);
      const happensAt = timeOfDuty(duty, this.ward, this.chance);
      if (happensAt === null) continue;
      // Some things are recorded only when there is a hand free.
      const isRecordedLate = isNurses(duty.kind) && this.chance.happens(0.03);
      const recordedAt = happensAt + (isRecordedLate ? this.chance.between(3, 25) * minuteMs : 0);
      this.ward.later(recordedAt - this.ward.now, () => this.carryOut(duty, happensAt));
    }
  }

  private begin(): void {
    const { chance, ward, life } = this;
    ward.later(life.outAfterMs, () => this.takeOut());
    if (life.reason === 'occluded' && life.outAfterMs > hourMs && chance.happens(0.5))
      ward.later(life.outAfterMs - chance.between(12, 25) * minuteMs, () => this.openFault(true));
    this.every(60, () => this.openFault(false));
    this.every(45, () => {
      const how = chance.pick(['moved', 'repositioned', 'disconnected']);
      this.record({ kind: 'disturbed', body: { how } });
    });
    if (life.placed.flushMode === 'continuous') this.every(7, () => this.sample());
    else if (chance.happens(0.06))
      ward.later(chance.between(2, 10) * hourMs, () => {
        const source = drawnSource(chance, life.placed.patient.species);
        if (this.record({ kind: 'flushModeChanged', body: { mode: 'continuous', source } }))
          this.every(7, () => this.sample());
      });
  }

  /** Does something while the line is in, by chance and on average every so many hours. */
  private every(meanHours: number, act: () => void): void {
    this.ward.later(this.chance.exponential(meanHours) * hourMs, () => {
      if (this.line.state.removed) return;
      act();
      this.every(meanHours, act);
    });
  }

  private carryOut(duty: Duty, happenedAt: number): void {
    const { state } = this.line;
    const open = dutiesOfLine(state, this.ward.ward.policy, this.ward.now);
    if (!open.some(({ kind, dueAt }) => kind === duty.kind && dueAt === duty.dueAt)) return;
    const at = Math.max(Math.round(happenedAt / 1000) * 1000, state.placed.at);
    this.doing[duty.kind](duty, Math.min(at, this.ward.now));
  }

  private record(draft: EntryDraft, at = this.ward.now, by = this.ward.nurseAt(at)): boolean {
    return this.ward.record(this.line, draft, { by, at });
  }

  private waive({ kind, dueAt }: Duty, hours: number, reason: string): void {
    const until = this.ward.now + hours * hourMs;
    this.record(
      { kind: 'waived', body: { duty: kind, dueAt, reason, until } },
      this.ward.now,
      this.ward.clinician(),
    );
  }

  private isSmall(): boolean {
    return this.line.state.patient.weightKg < 8;
  }

  private changeSource(at: number, newSet: boolean): void {
    this.record({ kind: 'sourceChanged', body: { source: this.freshSource(), newSet } }, at);
  }

  private freshSource() {
    return this.line.state.flushMode === 'continuous'
      ? drawnSource(this.chance, this.life.placed.patient.species)
      : { kind: 'syringe' as const, volumeMl: 20 };
  }

  private zero(at: number): void {
    const { chance } = this;
    if (chance.happens(0.5))
      this.record({ kind: 'levelled', body: { belowHeartCm: whole(chance.between(-4, 4)) } }, at);
    this.record({ kind: 'zeroed', body: { openToAirMmHg: whole(chance.between(-2.4, 2.4)) } }, at);
    if (chance.happens(0.4)) this.ward.later(minuteMs, () => this.read());
  }

  private read(): void {
    if (this.line.state.removed) return;
    const { chance } = this;
    const dapMmHg = Math.round(chance.around(62, 1.2));
    const pulseMmHg = Math.round(chance.around(48, 1.25));
    const mapMmHg = Math.round(dapMmHg + pulseMmHg / 3);
    const sapMmHg = dapMmHg + pulseMmHg;
    const cuff = chance.happens(0.15)
      ? { cuff: { mapMmHg: mapMmHg + Math.round(chance.between(-9, 9)) } }
      : {};
    const heartRatePerMin = Math.round(chance.around(this.isSmall() ? 180 : 115, 1.2));
    const taken = this.record({
      kind: 'reading',
      body: { sapMmHg, dapMmHg, mapMmHg, heartRatePerMin, ...cuff },
    });
    // Now and then a digit slipped, and is put right.
    const target = this.line.entries.length;
    if (taken && chance.happens(0.02))
      this.ward.later(3 * minuteMs, () => {
        this.record({ kind: 'amended', body: { target, body: { sapMmHg: sapMmHg + 10 } } });
      });
  }

  private sample(): void {
    const { chance } = this;
    const small = this.isSmall();
    this.record({
      kind: 'sampled',
      body: {
        volumeMl: small ? 0.5 : chance.pick([1, 2, 3]),
        discardMl: small ? 1 : 3,
        discardReturned: chance.happens(0.75),
        flushed: chance.happens(0.97),
      },
    });
  }

  /** Ooze that can be seen by now and that nobody recorded. */
  private seesOoze(at: number): boolean {
    const { oozeAfterMs } = this.life;
    return !this.hasRecordedOoze && oozeAfterMs !== null && at >= this.line.state.placed.at + oozeAfterMs;
  }

  private lookAtSite(kind: 'siteChecked' | 'redressed', at: number): void {
    const ooze = this.seesOoze(at);
    const isSoiled = kind === 'siteChecked' && this.chance.happens(0.03);
    const finding: SiteFinding = { ...(ooze ? { ooze } : {}), ...(isSoiled ? { soiled: true } : {}) };
    if (this.record({ kind, body: { finding } }, at) && ooze) this.hasRecordedOoze = true;
  }

  /** The clinician looks: at a limb without pulse again the next day, at all else at once, and by then it is well. */
  private answerFinding(duty: Duty, at: number): void {
    const { finding, marks, tipMissing } = this.line.state;
    if (tipMissing && !finding) this.waive(duty, 36, 'piece seen on the film, surgeon knows');
    else if (finding?.limb && !marks.finding?.waived)
      this.waive(duty, 30, 'flow heard with the Doppler, look again tomorrow');
    else this.record({ kind: 'siteChecked', body: { finding: {} } }, at, this.ward.clinician());
  }

  private takeOut(): void {
    const { reason, tipWhole } = this.life;
    const ooze = this.seesOoze(this.ward.now);
    const finding = findingOf(reason, ooze);
    const isDead = reason === 'death';
    const seen = isDead || Object.keys(finding).length === 0 ? {} : { finding };
    this.record({
      kind: 'removed',
      body: { reason, tipWhole, ...(isDead && ooze ? { finding: { ooze } } : seen) },
    });
    this.hasRecordedOoze ||= ooze;
  }

  private firstLook(duty: Duty, at: number): void {
    if (!isFollowedUp(this.line.state)) return;
    const isAgain = this.line.state.marks.pulse?.waived !== undefined;
    if (!isAgain && this.chance.happens(inventedYear.firstPulseMissed)) {
      const untilNextDay = (duty.dueAt + 23 * hourMs - this.ward.now) / hourMs;
      this.waive(duty, Math.max(untilNextDay, 1), 'asleep at last, look tomorrow');
      return;
    }
    const pulse = this.chance.weighted<Pulse>({
      absent: inventedYear.pulseAbsent,
      weak: inventedYear.pulseWeak,
      present: 1 - inventedYear.pulseAbsent - inventedYear.pulseWeak,
      'cannot tell': 0,
    });
    this.firstPulse = pulse;
    this.record({ kind: 'pulseChecked', body: { pulse } }, at);
  }

  private nextDayLook(at: number): void {
    const weights =
      this.firstPulse === 'absent' ? { absent: 5, weak: 1, present: 4 } : { absent: 1, weak: 2, present: 92 };
    const pulse = this.chance.weighted<Pulse>({
      ...weights,
      'cannot tell': this.firstPulse === 'absent' ? 0 : 5,
    });
    this.record({ kind: 'pulseChecked', body: { pulse } }, at);
  }

  private openFault(isHopeless: boolean): void {
    goThroughFault(this.ward, this.line, this.chance, isHopeless);
  }
}

/** Rounded; a negative nought is none, as in any record that was written down. */
function whole(value: number): number {
  return Math.round(value) + 0;
}

/** Duties whose recording a nurse may be late with; a clinician's decision is recorded as it is made. */
function isNurses(kind: DutyKind): boolean {
  return kind !== 'stillNeeded' && kind !== 'dwellLimit' && kind !== 'finding' && kind !== 'fault';
}
