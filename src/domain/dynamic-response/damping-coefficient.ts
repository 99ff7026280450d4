/** What two heights of a ringing trace say of the damping coefficient ζ (a plain number). */
export type Damping =
  | { found: 'value'; damping: number }
  /** No second height to be seen: "about this or more", not a number to reckon with. */
  | { found: 'at least'; damping: number }
  /** The ringing would grow, stand still or turn over: a measuring error, or the two heights were swapped. */
  | { found: 'nothing'; because: 'ratio not between 0 and 1'; ratio: number };

/** Which two heights were measured. Taking one for the other halves or doubles the damping, so it is stored with it. */
export const swingDefinitions = ['half cycle', 'full cycle'] as const;
/** Which swings a ratio of heights is made of. */
export type SwingDefinition = (typeof swingDefinitions)[number];

/**
 * Least damping when no second height can be seen. A second swing below a twentieth of the first is lost in the trace
 * (own rule): a ratio of 0.05 is 0.69 by half cycles, 0.43 by full cycles.
 */
export const dampingWithoutSecond: Readonly<Record<SwingDefinition, number>> = {
  'half cycle': 0.7,
  'full cycle': 0.4,
};

function dampingOf(ratio: number | null, definition: SwingDefinition, cyclesBetween: 0.5 | 1): Damping {
  if (ratio === null) return { found: 'at least', damping: dampingWithoutSecond[definition] };
  if (!(ratio > 0 && ratio < 1)) return { found: 'nothing', because: 'ratio not between 0 and 1', ratio };
  const decay = -Math.log(ratio);
  return { found: 'value', damping: decay / Math.hypot(2 * Math.PI * cyclesBetween, decay) };
}

/**
 * Damping coefficient from two successive **swings**, half a cycle apart: the height from a peak to the trough after it,
 * then from that trough to the next peak. `ratio` = next ÷ first, above 0 and below 1; null where no second swing is seen.
 * `L = |ln r|`, `ζ = L / sqrt(π² + L²)`.
 *
 * Example: 17 mm after 24 mm, ratio 0.708 → 0.11 (Mark JB, Atlas of Cardiovascular Monitoring, 1998, Figs 9-9 and 9-10).
 */
export function dampingOfHalfCycle(ratio: number | null): Damping {
  return dampingOf(ratio, 'half cycle', 0.5);
}

/**
 * Damping coefficient from two successive peaks on the **same side** of the settled line, a whole cycle apart. `ratio` =
 * next ÷ first, above 0 and below 1; null where no second peak is seen. `ζ = Λ / sqrt(4π² + Λ²)`, Λ = |ln R|, the
 * logarithmic decrement. The full-cycle ratio is the square of the half-cycle ratio.
 *
 * Example: ratio 0.5 → 0.11; by half cycles the same ratio would be 0.22.
 */
export function dampingOfFullCycle(ratio: number | null): Damping {
  return dampingOf(ratio, 'full cycle', 1);
}

/**
 * The half-cycle ratio that a damping coefficient (at least 0, below 1) makes: `r = exp(-πζ / sqrt(1 - ζ²))`, which is
 * also by how much a step overshoots. Throws a RangeError outside.
 *
 * Example: 0.64 → 0.073.
 */
export function halfCycleRatio(damping: number): number {
  if (!(damping >= 0 && damping < 1)) {
    throw new RangeError(`Damping ${damping} must be at least 0 and below 1; above that nothing swings.`);
  }
  return Math.exp((-Math.PI * damping) / Math.sqrt(1 - damping * damping));
}
