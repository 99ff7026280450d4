import { DateTime } from 'luxon';
import { dutiesOfLine } from '../../src/domain/duties/duties-of-line.ts';
import type { Duty } from '../../src/domain/duties/duty.ts';
import type { DutyKind } from '../../src/domain/duty-kind.ts';
import { foldLine } from '../../src/domain/fold/fold-line.ts';
import { defaultPolicy, type WardPolicy } from '../../src/domain/policy/ward-policy.ts';
import type { DraftOf, Entry, EntryHead, EntryKind } from '../../src/domain/record/entry.ts';
import type { LineState } from '../../src/domain/record/line-state.ts';
import { newWard, type WardState } from '../../src/domain/ward/ward-state.ts';

/** The zone of every invented ward in these tests: it changes its clocks twice a year. */
export const wardZone = 'Europe/Berlin';

export const minute = 60_000;
export const hour = 60 * minute;

/** The instant (ms) at which the ward's clock shows `YYYY-MM-DD HH:mm`, or `HH:mm` in the night of Tue 24 Nov 2026. */
export function wall(text: string): number {
  const [first = '', second] = text.split(' ');
  const day = second === undefined ? (first < '12:00' ? '2026-11-25' : '2026-11-24') : first;
  return DateTime.fromISO(`${day}T${second ?? first}`, { zone: wardZone }).toMillis();
}

/** `HH:mm` on the ward's clock. */
export function clock(atMs: number): string {
  return DateTime.fromMillis(atMs, { zone: wardZone }).toFormat('HH:mm');
}

/** A ward with the default policy, Dr. `vet` on call in both shifts, and what the test changes. */
export function testWard(changes: Partial<WardPolicy> = {}): WardState {
  return newWard('T0TEST.C0WARD', {
    ...defaultPolicy(wardZone),
    rota: { day: 'vet', night: 'vet' },
    ...changes,
  });
}

type PlacedBody = DraftOf<'placed'>['body'];
export type PlacedChanges = Partial<Omit<PlacedBody, 'patient'>> & {
  patient?: Partial<PlacedBody['patient']>;
};

/** What `placed` tells of an invented 28 kg dog with a line in the left dorsal pedal, flushed by hand. */
export function placedBody(changes: PlacedChanges = {}): PlacedBody {
  const { patient, ...rest } = changes;
  return {
    patient: { name: 'Biscuit', species: 'dog', weightKg: 28, ...patient },
    site: 'dorsal pedal',
    side: 'left',
    gauge: 20,
    flushMode: 'manual',
    nurse: 'nina',
    ...rest,
  };
}

/** Builds the log of one line, entry by entry; times are wall times as `wall` reads them, or instants. */
export class LineLog {
  readonly id: string;
  readonly entries: Entry[] = [];

  constructor(placedAt: string | number, changes: PlacedChanges = {}, id = 'line-1') {
    this.id = id;
    this.add('placed', placedAt, placedBody(changes));
  }

  add<K extends EntryKind>(
    kind: K,
    at: string | number,
    body: DraftOf<K>['body'],
    head: Partial<EntryHead> = {},
  ): this {
    const happened = typeof at === 'number' ? at : wall(at);
    this.entries.push({
      at: happened,
      told: happened,
      by: 'nina',
      via: 'button',
      kind,
      body,
      ...head,
    } as Entry);
    return this;
  }

  /** Tells the hourly things of a line that is in order: zeroed, tested, seen to, at `at`. */
  inOrder(at: string | number): this {
    return this.add('zeroed', at, {}).add('fastFlushTested', at, { verdict: 'normal' });
  }

  state(): LineState {
    return foldLine(this.id, this.entries);
  }

  duties(policy: WardPolicy, now: string | number): readonly Duty[] {
    return dutiesOfLine(this.state(), policy, typeof now === 'number' ? now : wall(now));
  }

  duty(kind: DutyKind, policy: WardPolicy, now: string | number): Duty | undefined {
    return this.duties(policy, now).find((duty) => duty.kind === kind);
  }
}
