import {
  dampingOfFullCycle,
  dampingOfHalfCycle,
  dampingWithoutSecond,
  type SwingDefinition,
} from './damping-coefficient.ts';
import { naturalFrequencyHz } from './natural-frequency.ts';
import { ringingFrequencyHz } from './ringing-frequency.ts';

/** What was read off the strip of a fast-flush test, in mm or in squares. */
export interface StripReading {
  /** Paper speed, mm/s: 25 and 50 are usual. */
  paperMmPerS: number;
  /** Side of the squares that lengths and heights are given in, mm; null where they are given in mm. */
  squareMm: 1 | 5 | null;
  /** Length of `cycles` whole cycles of the ringing; null where no whole cycle is to be seen. */
  cycleLength: number | null;
  /** Cycles within that length, a whole number. Reading several at once makes the reading error smaller. */
  cycles: number;
  /** Which two heights these are. */
  definition: SwingDefinition;
  /** Null where nothing swings; `next` null where no second one is to be seen. */
  heights: { first: number; next: number | null } | null;
}

/** A value with what half a square of reading error in each length and height can make of it. */
export interface Reckoned {
  value: number;
  low: number;
  /** Null: no upper end, because the error is as large as what was read. */
  high: number | null;
}

/** Damping stays below 1 where anything rings, so its interval always has an upper end; 1 itself means "open". */
export interface ReckonedDamping extends Reckoned {
  high: number;
}

/** Why a reading is not taken; each carries what its answer needs to say what to do instead. */
export type StripRefusal =
  | {
      because: 'out of range';
      what: 'paper speed' | 'cycle length' | 'cycles' | 'first height' | 'next height';
      value: number;
      from: number;
      to: number;
      unit: 'mm/s' | 'mm' | 'squares' | 'cycles';
    }
  /** The next height is not below the first: swapped, or two different flushes. */
  | { because: 'does not die down'; first: number; next: number }
  /** No line rings like this: cycles miscounted, squares taken for mm, or the wrong paper speed. */
  | { because: 'rings implausibly'; ringingHz: number; lowestHz: number; highestHz: number };

/** What a fast-flush test by hand says of the line. The definition used is kept with it. */
export type MeasuredTest =
  | {
      result: 'measured';
      definition: SwingDefinition;
      /** Next height ÷ first. */
      ratio: number;
      damping: ReckonedDamping;
      /** Null, like the natural frequency, where no whole cycle was seen. */
      ringingHz: Reckoned | null;
      naturalHz: Reckoned | null;
    }
  | {
      result: 'no second swing';
      definition: SwingDefinition;
      /** About this or more; not a number to reckon with. */
      dampingAtLeast: number;
      ringingHz: Reckoned | null;
    }
  | { result: 'refused'; refusal: StripRefusal };

/** Ringing outside these is taken for a slip of reading (own rule; published lines ring at 7 to 38 Hz). */
export const plausibleRingingHz = { lowest: 1, highest: 100 } as const;

const paperRange = { from: 5, to: 200 } as const;
const lengthRange = { from: 0.01, to: 500 } as const;
const cyclesRange = { from: 1, to: 20 } as const;

function reckonRinging(paperMmPerS: number, lengthMm: number, cycles: number, errorMm: number): Reckoned {
  const shortest = (lengthMm - errorMm) / cycles;
  return {
    value: ringingFrequencyHz(paperMmPerS, lengthMm / cycles),
    low: ringingFrequencyHz(paperMmPerS, (lengthMm + errorMm) / cycles),
    high: shortest > 0 ? ringingFrequencyHz(paperMmPerS, shortest) : null,
  };
}

/** Damping of a ratio; at the ends, where the error swallows the decay or the second height, 0 or 1. */
function dampingAt(ratio: number, definition: SwingDefinition): number {
  const damping = definition === 'half cycle' ? dampingOfHalfCycle(ratio) : dampingOfFullCycle(ratio);
  if (damping.found === 'value') return damping.damping;
  return ratio <= 0 ? 1 : 0;
}

function reckonDamping(
  first: number,
  next: number,
  error: number,
  definition: SwingDefinition,
): ReckonedDamping {
  const highest = first > error ? (next + error) / (first - error) : Number.POSITIVE_INFINITY;
  return {
    value: dampingAt(next / first, definition),
    low: dampingAt(highest, definition),
    high: dampingAt((next - error) / (first + error), definition),
  };
}

function reckonNatural(ringingHz: Reckoned, damping: ReckonedDamping): Reckoned {
  return {
    value: naturalFrequencyHz(ringingHz.value, damping.value),
    low: naturalFrequencyHz(ringingHz.low, damping.low),
    high:
      ringingHz.high === null || damping.high >= 1 ? null : naturalFrequencyHz(ringingHz.high, damping.high),
  };
}

function refusalOf(reading: StripReading): StripRefusal | null {
  const { paperMmPerS, squareMm, cycleLength, cycles, heights } = reading;
  const unit = squareMm === null ? 'mm' : 'squares';
  const told = [
    { what: 'paper speed', value: paperMmPerS, unit: 'mm/s', ...paperRange },
    { what: 'cycle length', value: cycleLength, unit, ...lengthRange },
    { what: 'cycles', value: cycles, unit: 'cycles', ...cyclesRange },
    { what: 'first height', value: heights?.first ?? null, unit, ...lengthRange },
    { what: 'next height', value: heights?.next ?? null, unit, ...lengthRange },
  ] as const;
  for (const { value, ...rest } of told) {
    if (value === null) continue;
    const fits =
      value >= rest.from && value <= rest.to && (rest.what !== 'cycles' || Number.isInteger(value));
    if (!fits) return { because: 'out of range', ...rest, value };
  }
  if (heights && heights.next !== null && heights.next >= heights.first) {
    return { because: 'does not die down', first: heights.first, next: heights.next };
  }
  return null;
}

/**
 * Ringing frequency and natural frequency (Hz) and damping coefficient of a line from the strip of a fast-flush test, each
 * with the interval that half a square of reading error makes: half of `squareMm`, or 0.5 mm where given in mm, in the
 * length and in each height at once. All three are monotone in what was read, so the corners of the errors bound them.
 *
 * Ranges: paper 5 to 200 mm/s, lengths and heights 0.01 to 500, 1 to 20 cycles, ringing 1 to 100 Hz; outside, and where
 * the next height is not below the first, the reading is refused with the reason. Without a second height the damping is
 * "about 0.7 or more" (0.4 by full cycles), less where the first is so low that half a square would hide more.
 *
 * Method: Gardner RM, Anesthesiology 1981;54:227-236. Example (Mark JB, Atlas of Cardiovascular Monitoring, 1998,
 * Fig 9-10): 25 mm/s, one cycle of 1.7 mm, swings of 24 then 17 mm → rings at 14.7 Hz (11.4 to 20.8), damping 0.11
 * (0.09 to 0.12), natural frequency 14.8 Hz.
 */
export function measuredTest(reading: StripReading): MeasuredTest {
  const refusal = refusalOf(reading);
  if (refusal) return { result: 'refused', refusal };
  const { paperMmPerS, squareMm, cycleLength, cycles, definition, heights } = reading;
  const mmPerUnit = squareMm ?? 1;
  const error = 0.5;
  const ringingHz =
    cycleLength === null
      ? null
      : reckonRinging(paperMmPerS, cycleLength * mmPerUnit, cycles, error * mmPerUnit);
  const { lowest: lowestHz, highest: highestHz } = plausibleRingingHz;
  if (ringingHz && (ringingHz.value < lowestHz || ringingHz.value > highestHz)) {
    const hz = { ringingHz: ringingHz.value, lowestHz, highestHz };
    return { result: 'refused', refusal: { because: 'rings implausibly', ...hz } };
  }
  if (heights === null || heights.next === null) {
    const hidden = heights === null ? 1 : dampingAt(error / heights.first, definition);
    const dampingAtLeast = Math.min(dampingWithoutSecond[definition], hidden);
    return { result: 'no second swing', definition, dampingAtLeast, ringingHz };
  }
  const damping = reckonDamping(heights.first, heights.next, error, definition);
  const naturalHz = ringingHz && reckonNatural(ringingHz, damping);
  return {
    result: 'measured',
    definition,
    ratio: heights.next / heights.first,
    damping,
    ringingHz,
    naturalHz,
  };
}
