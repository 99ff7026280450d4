/** Chance of at most `most` of `total` at a share, summed term by term. */
function atMost(most: number, total: number, share: number): number {
  let term = (1 - share) ** total;
  let sum = 0;
  for (let count = 0; count <= most; count += 1) {
    sum += term;
    term *= ((total - count) / (count + 1)) * (share / (1 - share));
  }
  return sum;
}

/** Where a falling function crosses a value within 0 to 1, halved sixty times. */
function crossing(of: (share: number) => number, value: number): number {
  let [low, high] = [0, 1];
  for (let step = 0; step < 60; step += 1) {
    const middle = (low + high) / 2;
    if (of(middle) > value) low = middle;
    else high = middle;
  }
  return low;
}

/** The exact 95 % ends of a share by their definition: at either end the tail has a fortieth. */
export function exactEnds(count: number, total: number): [lower: number, upper: number] {
  return [
    count === 0 ? 0 : crossing((share) => atMost(count - 1, total, share), 0.975),
    crossing((share) => atMost(count, total, share), 0.025),
  ];
}

/** The score ends by theirs: where the share seen is 1.959964 standard errors of the share supposed away from it. */
export function scoreEnds(count: number, total: number): [lower: number, upper: number] {
  const seen = count / total;
  const away = (share: number) => (seen - share) / Math.sqrt((share * (1 - share)) / total);
  return [count === 0 ? 0 : crossing(away, 1.959964), crossing(away, -1.959964)];
}
