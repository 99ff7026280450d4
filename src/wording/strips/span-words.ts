/** "8 s", "2.5 min", "24 h": a length of time for a sentence. */
export function spanWords(seconds: number): string {
  if (seconds < 90) return `${Number(seconds.toFixed(seconds < 10 ? 1 : 0))} s`;
  if (seconds < 90 * 60) return `${Number((seconds / 60).toFixed(1))} min`;
  return `${Number((seconds / 3600).toFixed(1))} h`;
}
