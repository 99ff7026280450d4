/** Chance from a seed: the same seed draws the same, on any machine. */
export interface Chance {
  /** From 0 up to, not including, 1. */
  share(): number;
  /** Whether something of this probability happens. */
  happens(probability: number): boolean;
  /** Anywhere from `low` to `high`. */
  between(low: number, high: number): number;
  /** With this mean, most of them shorter: times between things that happen at a constant rate. */
  exponential(mean: number): number;
  /** Time to failure whose share lasting beyond t is `exp(−(t / scale)^shape)`; above shape 1 later is riskier. */
  weibull(scale: number, shape: number): number;
  /** About `middle`, spread by a factor that two thirds lie within. */
  around(middle: number, factor: number): number;
  pick<const T>(of: readonly [T, ...T[]]): T;
  /** One of the names, by their weights. */
  weighted<K extends string>(weights: Readonly<Record<K, number>>): K;
  /** Another source, of this one's seed and a name, that draws nothing from this one. */
  of(name: string): Chance;
}

/**
 * Chance from a seed: mulberry32 (a public-domain generator of 32 bits by T. Ettinger, from memory), its seed the FNV-1a
 * hash of the seed's text. For invented wards only; it keeps no secret.
 */
export function chanceFrom(seed: string): Chance {
  let state = 0x811c9dc5;
  for (const byte of Buffer.from(seed)) state = Math.imul(state ^ byte, 0x01000193) >>> 0;
  const share = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
  const exponential = (mean: number) => -Math.log(1 - share()) * mean;
  return {
    share,
    happens: (probability) => share() < probability,
    between: (low, high) => low + (high - low) * share(),
    exponential,
    weibull: (scale, shape) => scale * exponential(1) ** (1 / shape),
    around: (middle, factor) =>
      // Box and Muller's normal deviate.
      middle * factor ** (Math.sqrt(2 * exponential(1)) * Math.cos(2 * Math.PI * share())),
    pick: (of) => of[Math.floor(share() * of.length)] ?? of[0],
    weighted: <K extends string>(weights: Readonly<Record<K, number>>) => {
      const names = Object.keys(weights) as K[];
      let left = share() * names.reduce((sum, name) => sum + weights[name], 0);
      const found = names.find((name) => {
        left -= weights[name];
        return left < 0;
      });
      const last = names.at(-1);
      if (last === undefined) throw new RangeError('Nothing to choose from; give at least one name.');
      return found ?? last;
    },
    of: (name) => chanceFrom(`${seed}/${name}`),
  };
}
