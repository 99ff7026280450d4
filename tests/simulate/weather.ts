import type { Chance } from '../../src/invented/chance.ts';

/** How likely things go wrong now: shares of calls, or of wake-ups. */
export interface Rates {
  /** A command of the record is lost on its way, or its answer is. */
  storeLost: number;
  /** A command of the record takes longer than its caller waits, and is carried out all the same. */
  storeLate: number;
  /** A call of the platform is lost, or its answer is; or the platform fails before or after it has done it. */
  platformLost: number;
  /** The platform says "not so fast". */
  platformBusy: number;
  alarmLost: number;
  alarmDoubled: number;
  alarmLate: number;
  /** The process dies at this call, before or after it is done. */
  dies: number;
}

export const calm: Rates = {
  storeLost: 0.002,
  storeLate: 0.0005,
  platformLost: 0.004,
  platformBusy: 0.004,
  alarmLost: 0.01,
  alarmDoubled: 0.02,
  alarmLate: 0.02,
  dies: 0.000_3,
};

/** A time in which something is wrong; each kind of fault has one. */
export const spells = {
  'platform away': { platformLost: 1 },
  'platform in trouble': { platformLost: 0.35, platformBusy: 0.15 },
  'platform busy': { platformBusy: 0.7 },
  'store away': { storeLost: 1 },
  'store in trouble': { storeLost: 0.15, storeLate: 0.15 },
  'wake-ups lost': { alarmLost: 1 },
  'wake-ups late': { alarmLate: 1 },
  'wake-ups doubled': { alarmDoubled: 1 },
  'processes dying': { dies: 0.02 },
  /** Every process stops; they come up again at the end. */
  'all down': {},
  /** The queue loses its memory every minute. */
  'queue wiped': {},
} as const satisfies Record<string, Partial<Rates>>;
export type SpellKind = keyof typeof spells;

/** In these nothing can be promised while they last: what came due is told once they are over. */
const hinder: ReadonlySet<SpellKind> = new Set([
  'platform away',
  'platform in trouble',
  'platform busy',
  'store away',
  'store in trouble',
  'processes dying',
  'all down',
]);

export interface Spell {
  kind: SpellKind;
  from: number;
  to: number;
}

const minuteMs = 60_000;

/** The spells of a run, one after the other with calm between them, so that what each did is seen. */
export function drawSpells(chance: Chance, fromMs: number, toMs: number): Spell[] {
  const kinds = Object.keys(spells) as SpellKind[];
  const drawn: Spell[] = [];
  let at = fromMs + chance.between(10, 60) * minuteMs;
  while (at < toMs) {
    const kind = kinds[Math.floor(chance.share() * kinds.length)] ?? 'all down';
    const lasts = chance.happens(0.5) ? chance.between(0.2, 4) : chance.between(4, 40);
    drawn.push({ kind, from: at, to: at + lasts * minuteMs });
    at += (lasts + chance.between(15, 300)) * minuteMs;
  }
  return drawn;
}

/** What the weather is, and was. */
export class Weather {
  rates: Rates = calm;
  /** Whether the clocks of the processes are within half a second of each other. */
  clocksAgree = true;
  /** Times that excuse a delay, those that last have no end yet. */
  private readonly hindered: { from: number; to: number }[] = [];
  now: Spell | null = null;

  private ends: (atMs: number) => void = () => undefined;

  begin(spell: Spell): void {
    this.now = spell;
    this.rates = { ...calm, ...spells[spell.kind] };
    this.ends = hinder.has(spell.kind) ? this.hinders(spell.from) : () => undefined;
  }

  end(atMs: number): void {
    this.ends(atMs);
    this.now = null;
    this.rates = calm;
  }

  /** A time of trouble begins; returns how to end it. */
  hinders(from: number): (atMs: number) => void {
    const time = { from, to: Number.POSITIVE_INFINITY };
    this.hindered.push(time);
    return (atMs) => {
      time.to = atMs;
    };
  }

  /** From when on a promise made at `from` counts: the end of the last trouble since, `from` where there was none, infinite while one lasts. */
  countsFrom(from: number, now: number): number {
    let counts = from;
    for (const { from: begun, to } of this.hindered)
      if (to > from && begun <= now) counts = Math.max(counts, to);
    return counts;
  }
}
