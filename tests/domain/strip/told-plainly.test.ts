import { describe, expect, it } from 'vitest';
import { readStrip, type StripFindings } from '../../../src/domain/strip/strip-findings.ts';
import { excursionText, patientText } from '../../../src/wording/strips/strip-finding-words.ts';
import { stripSentence } from '../../../src/wording/strips/strip-sentence.ts';
import { bellFrom, chanceFrom } from '../../support/simulated-strip.ts';
import { type MadeStripOptions, madeStrip } from '../../support/strips/made-strip.ts';
import { notAPulse, notAPulseKinds } from '../../support/strips/not-a-pulse.ts';
import { truthOf } from '../../support/strips/truth-of-strip.ts';
import { usualStrip } from '../../support/strips/usual-strip.ts';

function made(options: Partial<MadeStripOptions>) {
  const strip = madeStrip({ ...usualStrip, ...options });
  return { truth: truthOf(strip), found: readStrip(strip.strip).findings };
}
const isPlain = ({ beats, faults }: StripFindings) => beats !== null && faults.length === 0;
const patientOf = ({ patient }: StripFindings) => patient.map(({ finding }) => finding);

describe('an excursion', () => {
  // The plateau of a flush through a line that hardly damps went into the averages: 190/40 for 120/75, 177 for 90 /min.
  const flushes = [0.03, 0.05, 0.1, 0.4, 1.2].flatMap((damping) =>
    [6, 10, 16, 30].map((naturalHz) => ({ damping, naturalHz })),
  );
  it.each(flushes)('fast flush, damping $damping, $naturalHz Hz: none of it is in the averages', (line) => {
    const { truth, found } = made({ line, excursions: [{ kind: 'flush', atS: 8, lengthS: 1.2, mmHg: 290 }] });
    expect(found.flushes.length + found.excursions.length).toBeGreaterThan(0);
    if (!isPlain(found) || !found.beats) return;
    expect(Math.abs(found.beats.mapMmHg - truth.mapMmHg)).toBeLessThan(4);
    expect(Math.abs(found.beats.ratePerMin - truth.ratePerMin)).toBeLessThan(4);
  });

  it.each([
    ['limb raised', 'level', 18],
    ['open to air', 'below', 0],
    ['tap closed', 'no pulse', 0],
    ['clamped', 'no pulse', 0],
  ] as const)('%s is named and left out', (kind, told, mmHg) => {
    const { truth, found } = made({ excursions: [{ kind, atS: 8, lengthS: 4, mmHg }] });
    expect(found.excursions.map((one) => one.kind)).toEqual([told]);
    expect(found.excursions[0]?.fromS).toBeLessThan(9);
    expect(isPlain(found)).toBe(true);
    expect(Math.abs((found.beats?.mapMmHg ?? 0) - truth.mapMmHg)).toBeLessThan(2);
    expect(Math.abs((found.beats?.sapMmHg ?? 0) - truth.sapMmHg)).toBeLessThan(4);
  });

  it('without a pulse sends the reader to the animal first', () => {
    const { found } = made({ excursions: [{ kind: 'tap closed', atS: 8, lengthS: 4 }] });
    expect(found.excursions.map(excursionText)[0]).toMatch(/no pulse for \d\.\d s: look at the animal first/);
  });
});

describe('the rate', () => {
  it.each([20, 30, 40, 60, 120, 200, 240, 280, 300, 320])('of %i /min is told as it is', (ratePerMin) => {
    for (const wave of ['reference', 'windkessel', 'round'] as const) {
      const { truth, found } = made({ ratePerMin, wave, seconds: 40 });
      expect(isPlain(found)).toBe(true);
      expect(Math.abs((found.beats?.ratePerMin ?? 0) - truth.ratePerMin)).toBeLessThan(0.02 * ratePerMin);
    }
  });

  it('of 30 /min with a large dicrotic wave is not told as 60', () => {
    const { found } = made({ ratePerMin: 30, afterwave: 0.35, seconds: 40 });
    expect(Math.round(found.beats?.ratePerMin ?? 0)).toBe(30);
  });
});

describe('what is the patient’s', () => {
  it.each([
    ['alternans', { kind: 'alternans', small: 0.5, variation: 0.01 }],
    ['alternans', { kind: 'alternans', small: 0.75, variation: 0.01 }],
    ['bigeminy', { kind: 'bigeminy', coupling: 0.75, small: 0.95 }],
    ['pauses', { kind: 'dropped', every: 5 }],
    ['irregular', { kind: 'fibrillation', variation: 0.22 }],
  ] as const)('is told as the patient’s, with every beat counted: %s, %o', (finding, rhythm) => {
    const { truth, found } = made({
      rhythm,
      ratePerMin: 110,
      seconds: 30,
      wave: finding === 'alternans' ? 'reference' : 'windkessel',
    });
    expect(patientOf(found)).toEqual([finding]);
    expect(found.faults).toEqual([]);
    expect(Math.abs((found.beats?.ratePerMin ?? 0) - truth.ratePerMin)).toBeLessThan(3);
    expect(found.patient.map(patientText)[0]).toMatch(
      /This is the patient, not the line: tell the clinician and look at the ECG\.$/,
    );
    expect(stripSentence(found)).toMatch(
      /: \d+–\d+\/\d+–\d+ mmHg, mean \d+ mmHg, .*every beat with a pulse counted/,
    );
  });

  it('is nothing where breathing alone makes the pulse vary', () => {
    expect(patientOf(made({ breath: { perMin: 20, mmHg: 4, pulseShare: 0.1 } }).found)).toEqual([]);
  });
});

describe('a trace without a pulse', () => {
  const strips = notAPulseKinds.flatMap((kind) => [1, 2, 3].map((seed) => ({ kind, seed })));
  it.each(strips)('is never told plainly: $kind, seed $seed', ({ kind, seed }) => {
    const chance = chanceFrom(seed);
    const strip = notAPulse(kind, { seconds: 20, samplesPerS: 200, chance, bell: bellFrom(chance) });
    const { findings } = readStrip(strip);
    expect(isPlain(findings)).toBe(false);
    expect(findings.confidence).not.toBe('fairly sure');
  });

  it('gives no pressures where more than a tenth is pegged', () => {
    const { truth, found } = made({ clipAboveMmHg: 95 });
    expect(truth.pegged).toBeGreaterThan(0.1);
    expect([found.beats, found.faults.map(({ fault }) => fault)]).toEqual([null, ['pegged']]);
  });
});
