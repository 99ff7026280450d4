import { mean } from './smoothing.ts';

/** How alike two courses of one length are: Pearson's correlation, -1 to 1; 0 where one of them does not change. */
export function correlation(a: Float64Array, b: Float64Array): number {
  const [ma, mb] = [mean(a), mean(b)];
  let [ab, aa, bb] = [0, 0, 0];
  for (let i = 0; i < a.length; i += 1) {
    const [x, y] = [(a[i] ?? 0) - ma, (b[i] ?? 0) - mb];
    ab += x * y;
    aa += x * x;
    bb += y * y;
  }
  return aa > 0 && bb > 0 ? ab / Math.sqrt(aa * bb) : 0;
}
