import { convertedNotes } from './channel-choice.ts';
import type { Layout } from './csv-layout.ts';
import { type Lines, rateOfHead } from './csv-lines.ts';
import type { Rows } from './csv-rows.ts';
import {
  checkedStrip,
  lastPartNotes,
  longestReadMin,
  type ParsedStrip,
  refused,
  shownText,
} from './pressure-strip.ts';

/** A told rate this far from that of the times is another number, as a share. */
const rateTolerance = 0.03;

/**
 * Evenly spaced pressures from told times, s. Missing times leave gaps (NaN) of at most 2 s each; a rate is made out from
 * the usual step. Gives a refusal where the times do not ascend or are too uneven.
 */
function evenly(
  { pressures, times }: Rows,
  bodyFrom: number,
): { samplesPerS: number; pressuresMmHg: Float64Array } | { refusal: ParsedStrip } {
  const steps: number[] = [];
  for (let i = 1; i < times.length; i += 1) steps.push((times[i] ?? 0) - (times[i - 1] ?? 0));
  const backAt = steps.findIndex((step) => !(step >= 0));
  if (backAt >= 0) return { refusal: refused({ because: 'time goes back', line: bodyFrom + backAt + 1 }) };
  if (steps.filter((step) => step === 0).length > steps.length * 0.02)
    return { refusal: refused({ because: 'times too coarse' }) };
  const median = steps.toSorted((a, b) => a - b)[Math.floor(steps.length / 2)] ?? 0;
  const usual = steps.filter((step) => step > 0.4 * median && step < 1.6 * median);
  const step = usual.reduce((sum, one) => sum + one, 0) / usual.length;
  const samplesPerS = Number((1 / step).toPrecision(6));
  if (usual.length < steps.length * 0.95) return { refusal: refused({ because: 'times too uneven' }) };
  // Counted step by step, so that rounded times cannot drift against the grid.
  const places: number[] = [0];
  for (const one of steps) {
    const by = one < 1.6 * median ? 1 : Math.round(one / step);
    if (by * step > 2) return { refusal: refused({ because: 'gap too long', s: one }) };
    places.push((places.at(-1) ?? 0) + by);
  }
  const pressuresMmHg = new Float64Array((places.at(-1) ?? 0) + 1).fill(Number.NaN);
  for (const [i, place] of places.entries()) pressuresMmHg[place] = pressures[i] ?? Number.NaN;
  return { samplesPerS, pressuresMmHg };
}

/** The strip from its rows: evenly sampled by their times or by a told rate, and of a long file the last part. */
export function stripOf({ pressure }: Layout, rows: Rows, lines: Lines): ParsedStrip {
  if (rows.pressures.length === 0) return refused({ because: 'no values' });
  const even = sampled(rows, rateOfHead(lines.head) ?? rows.rateOfColumn, lines.bodyFrom);
  if ('refusal' in even) return even.refusal;
  const { samplesPerS, pressuresMmHg: all } = even;
  const pressuresMmHg = all.subarray(Math.max(0, all.length - Math.floor(longestReadMin * 60 * samplesPerS)));
  const fileS = (lines.leftOut + all.length) / samplesPerS;
  const readS = pressuresMmHg.length / samplesPerS;
  return checkedStrip({
    samplesPerS,
    pressuresMmHg,
    channel: shownText(pressure.name),
    startsAtS: fileS - readS,
    fileS,
    notes: [
      ...(rows.cutOff ? [{ note: 'last line broken' } as const] : []),
      ...convertedNotes(pressure.unit),
      ...lastPartNotes(readS, fileS),
    ],
  });
}

type Sampled = { samplesPerS: number; pressuresMmHg: Float64Array };

/** Evenly sampled by the times where there are any, else by the told rate, Hz; a refusal where both say different things. */
function sampled(rows: Rows, toldHz: number | null, bodyFrom: number): Sampled | { refusal: ParsedStrip } {
  // A rate column of nought says nothing.
  const told = toldHz !== null && toldHz > 0 ? toldHz : null;
  if (told === null)
    return rows.times.length >= 3 ? evenly(rows, bodyFrom) : { refusal: withoutRate(rows.times.length) };
  const byTimes = rows.times.length >= 3 ? evenly(rows, bodyFrom) : null;
  if (byTimes === null || 'refusal' in byTimes)
    return { samplesPerS: told, pressuresMmHg: Float64Array.from(rows.pressures) };
  if (Math.abs(told / byTimes.samplesPerS - 1) <= rateTolerance) return byTimes;
  const timesHz = Number(byTimes.samplesPerS.toPrecision(4));
  return { refusal: refused({ because: 'rates disagree', toldHz: told, timesHz }) };
}

function withoutRate(times: number): ParsedStrip {
  return refused({ because: times === 0 ? 'no sampling rate' : 'too few samples' });
}
