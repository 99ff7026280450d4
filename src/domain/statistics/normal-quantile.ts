/** Coefficients of a rational function, lowest power first. */
type Coefficients = readonly number[];

/**
 * Wichura MJ, Algorithm AS 241: The percentage points of the normal distribution, Applied Statistics 1988;37:477-484, routine
 * PPND16 (relative error about 1e-16), each number cut to what a double holds: near the middle, in the tails, far out.
 */
const middle: { over: Coefficients; under: Coefficients } = {
  over: [
    3.3871328727963665, 133.14166789178438, 1971.5909503065513, 13731.69376550946, 45921.95393154987,
    67265.7709270087, 33430.57558358813, 2509.0809287301227,
  ],
  under: [
    1, 42.31333070160091, 687.1870074920579, 5394.196021424751, 21213.794301586597, 39307.89580009271,
    28729.085735721943, 5226.495278852546,
  ],
};
const tail: typeof middle = {
  over: [
    1.4234371107496835, 4.630337846156546, 5.769497221460691, 3.6478483247632045, 1.2704582524523684,
    0.2417807251774506, 0.022723844989269184, 0.0007745450142783414,
  ],
  under: [
    1, 2.053191626637759, 1.6763848301838038, 0.6897673349851, 0.14810397642748008, 0.015198666563616457,
    0.0005475938084995345, 1.0507500716444169e-9,
  ],
};
const farOut: typeof middle = {
  over: [
    6.657904643501103, 5.463784911164114, 1.7848265399172913, 0.29656057182850487, 0.026532189526576124,
    0.0012426609473880784, 0.000027115555687434876, 2.0103343992922881e-7,
  ],
  under: [
    1, 0.599832206555888, 0.1369298809227358, 0.014875361290850615, 0.0007868691311456133,
    0.000018463183175100548, 1.421511758316446e-7, 2.0442631033899397e-15,
  ],
};

function ratio({ over, under }: typeof middle, x: number): number {
  const at = (coefficients: Coefficients) => coefficients.reduceRight((sum, next) => sum * x + next, 0);
  return at(over) / at(under);
}

/**
 * The standard normal quantile: the z below which a share `p` lies. Source: AS 241 (above). Throws a RangeError unless
 * 0 < p < 1.
 *
 * Example: 0.975 → 1.959964.
 */
export function normalQuantile(p: number): number {
  if (!(p > 0 && p < 1))
    throw new RangeError(`A normal quantile of ${p} was asked for; 0 < p < 1 is allowed.`);
  const fromMiddle = p - 0.5;
  if (Math.abs(fromMiddle) <= 0.425) return fromMiddle * ratio(middle, 0.180625 - fromMiddle * fromMiddle);
  const out = Math.sqrt(-Math.log(Math.min(p, 1 - p)));
  const size = out <= 5 ? ratio(tail, out - 1.6) : ratio(farOut, out - 5);
  return fromMiddle < 0 ? -size : size;
}

/** The z of a two-sided interval: `level` 0.95 → 1.959964. Throws a RangeError unless 0 < level < 1. */
export function twoSidedZ(level: number): number {
  if (!(level > 0 && level < 1))
    throw new RangeError(`An interval's level was ${level}; 0 < level < 1 is allowed.`);
  return normalQuantile((1 + level) / 2);
}
