/** Words longer than this are no slip of the finger; it also bounds the work on hostile input. */
const longest = 24;

/**
 * Number of slips between two words: a letter too many, missing, wrong, or two swapped (optimal string alignment).
 *
 * Example: `zreo` and `zero` are 1 apart.
 */
export function slipsBetween(one: string, other: string): number {
  const a = Array.from(one);
  const b = Array.from(other);
  let beforeLast: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, column) => column);
  for (let row = 1; row <= a.length; row += 1) {
    const current = [row];
    for (let column = 1; column <= b.length; column += 1) {
      const cost = a[row - 1] === b[column - 1] ? 0 : 1;
      let best = Math.min(
        (last[column] ?? 0) + 1,
        (current[column - 1] ?? 0) + 1,
        (last[column - 1] ?? 0) + cost,
      );
      if (row > 1 && column > 1 && a[row - 1] === b[column - 2] && a[row - 2] === b[column - 1]) {
        best = Math.min(best, (beforeLast[column - 2] ?? 0) + 1);
      }
      current.push(best);
    }
    beforeLast = last;
    last = current;
  }
  return last[b.length] ?? 0;
}

/** The candidate a slip or two away, the nearest first; undefined when none is near. */
export function nearestWord(word: string, candidates: readonly string[]): string | undefined {
  const length = Array.from(word).length;
  if (length === 0 || length > longest) return undefined;
  const most = length <= 3 ? 1 : 2;
  let best: { candidate: string; slips: number } | undefined;
  for (const candidate of candidates) {
    if (Math.abs(Array.from(candidate).length - length) > most) continue;
    const slips = slipsBetween(word, candidate);
    // A word of which no letter is left is not "near", however short it is.
    if (slips > most || slips >= length) continue;
    if (best === undefined || slips < best.slips) best = { candidate, slips };
  }
  return best?.candidate;
}
