/** A step of 1, 2 or 5 times a power of ten that cuts a span into at most `most` parts. */
export function niceStep(span: number, most: number): number {
  const rough = span / most;
  const power = 10 ** Math.floor(Math.log10(rough));
  const times = [1, 2, 5, 10].find((one) => one * power >= rough * 0.999) ?? 10;
  return times * power;
}

/** Multiples of a step from `low` to `high`; a round step that makes at most `most` parts, where none is given. */
export function ticks(low: number, high: number, most: number, step = niceStep(high - low, most)): number[] {
  const first = Math.ceil(low / step - 1e-9);
  const count = Math.floor(high / step + 1e-9) - first + 1;
  return Array.from({ length: Math.max(0, count) }, (_, i) => Number(((first + i) * step).toFixed(6)));
}
