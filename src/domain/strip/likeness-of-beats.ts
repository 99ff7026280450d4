import { correlation } from './correlation.ts';
import type { Beat } from './find-beats.ts';
import { quantile } from './smoothing.ts';

/** Every second beat, and those between them, counted anew after each gap; all as one kind where they do not take turns. */
function kindsOf(beats: readonly Beat[], takeTurns: boolean): number[] {
  let kind = 0;
  return beats.map((beat, i) => {
    const before = beats[i - 1];
    const isNext = before !== undefined && Math.abs(beat.footAt - before.endsAt) <= 1;
    // After a gap the taller kind is the one that is as tall.
    if (takeTurns) kind = isNext ? 1 - kind : kindAfterGap(beats, i);
    return kind;
  });
}

/** The first beat after a gap: 0 if it is taller than the one after it. */
function kindAfterGap(beats: readonly Beat[], i: number): number {
  const [own, next] = [beats[i], beats[i + 1]];
  if (!own || !next) return 0;
  return own.sapMmHg - own.dapMmHg >= next.sapMmHg - next.dapMmHg ? 0 : 1;
}

/** How alike each course is to the mean of its kind. */
function likenessOf(parts: readonly Float64Array[], kinds: readonly number[], length: number): number[] {
  const templates = [0, 1].map(() => new Float64Array(length));
  for (const [n, part] of parts.entries()) {
    const template = templates[kinds[n] ?? 0];
    if (template) for (let i = 0; i < length; i += 1) template[i] = (template[i] ?? 0) + (part[i] ?? 0);
  }
  return parts.map((part, n) => correlation(part, templates[kinds[n] ?? 0] ?? part));
}

/** Beats are laid over each other from a little before their upstroke, over so much of a short one. */
const laidOver = { share: 0.85, before: 0.15 } as const;

/** How alike the beats are, each to the mean of its kind: the median, and the share that is alike enough. */
export function likenessOfBeats(
  pressures: Float64Array,
  beats: readonly Beat[],
  takeTurns: boolean,
): { alike: number; alikeShare: number } {
  const lengths = beats.map(({ footAt, endsAt }) => endsAt - footAt);
  const length = Math.max(4, Math.round(laidOver.share * quantile(lengths, 0.15)));
  const before = Math.round(laidOver.before * length);
  const kinds = kindsOf(beats, takeTurns);
  const placed = beats
    .map((beat, n) => ({
      ...beat,
      kind: kinds[n] ?? 0,
      from: Math.max(0, Math.round(beat.halfUpAt) - before),
    }))
    .filter(({ from }) => from + length <= pressures.length);
  const parts = placed.map(({ from, sapMmHg, dapMmHg }) => {
    const part = pressures.subarray(from, from + length);
    // Small and tall beats count the same.
    return part.map((p) => (p - dapMmHg) / Math.max(1, sapMmHg - dapMmHg));
  });
  const likeness = likenessOf(
    parts,
    placed.map(({ kind }) => kind),
    length,
  );
  return {
    alike: quantile(likeness, 0.5),
    alikeShare: likeness.filter((one) => one > 0.8).length / likeness.length,
  };
}
