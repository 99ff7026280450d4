import { describe, expect, it } from 'vitest';
import type { Beat } from '../../../src/domain/strip/find-beats.ts';
import { patientFindings } from '../../../src/domain/strip/patient-findings.ts';

/** Beats at 200 samples a second: intervals, s, and the pulse of each, mmHg, taken in turn. */
function findingsOf(intervalsS: readonly number[], pulsesMmHg: readonly number[]) {
  let at = 100;
  const beats = intervalsS.map((s, i): Beat => {
    const footAt = at;
    at += Math.round(200 * s);
    const dapMmHg = 70;
    const sapMmHg = dapMmHg + (pulsesMmHg[i % pulsesMmHg.length] ?? 40);
    return { footAt, peakAt: footAt + 20, endsAt: at, dapMmHg, sapMmHg, mapMmHg: 85, halfUpAt: footAt + 10 };
  });
  return patientFindings({
    beats,
    intervalsS: [...intervalsS],
    openPerMin: [],
    othersPerMin: [],
    noPulse: [],
  }).map(({ finding }) => finding);
}
const inTurn = (count: number, ...values: number[]) =>
  Array.from({ length: count }, (_, i) => values[i % values.length] ?? 0);

// The words of the trade (alternans: even intervals, every second beat small; bigeminy: pairs, an early beat and a pause) are
// common practice; the limits are the project's own, measured on made strips.
describe('what beats say of the patient', () => {
  it('names alternans where intervals are even and every second beat is small', () => {
    expect(findingsOf(inTurn(16, 0.5), [40, 28])).toEqual(['alternans']);
  });

  it('names bigeminy where short and long intervals take turns', () => {
    expect(findingsOf(inTurn(16, 0.35, 0.65), [40, 36])).toEqual(['bigeminy']);
  });

  it('leaves open which of the two it is where intervals take turns a little', () => {
    expect(findingsOf(inTurn(16, 0.46, 0.54), [40, 28])).toEqual(['every second small']);
  });

  it('leaves open which of the two it is where a fast heart’s line blurs them', () => {
    expect(findingsOf(inTurn(30, 0.16, 0.25), [40, 28])).toEqual(['every second small']);
  });

  it('names neither where the heart is so fast that a line makes early beats even', () => {
    expect(findingsOf(inTurn(30, 0.19), [40, 28])).toEqual(['every second small']);
  });

  // Every third beat missing: short and long intervals as 1 to 2, nearer than any line blurs alternans to.
  it('names pairs of a fast heart where the long interval is nearly twice the short one', () => {
    expect(findingsOf(inTurn(30, 0.17, 0.34), [40, 28])).toEqual(['bigeminy']);
  });

  it('names no pairs where a few beats take turns by chance', () => {
    const uneven = [0.5, 0.8, 0.52, 0.7, 0.42, 0.76, 0.5, 0.84, 0.46, 0.7];
    expect(findingsOf(uneven, [40, 37])).not.toEqual(['bigeminy']);
    expect(findingsOf(inTurn(10, 0.5, 0.8), [40, 37])).toEqual(['bigeminy']);
  });

  it('does not name alternans where breathing can take turns with a slow heart', () => {
    expect(findingsOf(inTurn(12, 1.1), [40, 31])).toEqual(['every second small']);
    expect(findingsOf(inTurn(12, 1.1), [40, 36])).toEqual([]);
    expect(findingsOf(inTurn(12, 1.1), [40, 22])).toEqual(['every second small']);
    expect(findingsOf(inTurn(12, 1.1), [40, 18])).toEqual(['alternans']);
  });

  it('names pauses of two beats, and no groups of waves with a longer gap', () => {
    expect(findingsOf(inTurn(20, 0.5, 0.5, 0.5, 0.5, 1), [40])).toEqual(['pauses']);
    expect(findingsOf(inTurn(20, 0.5, 0.5, 0.5, 0.5, 1.16), [40])).toEqual([]);
    expect(findingsOf(inTurn(20, 0.25, 0.25, 0.75), [40])).toEqual([]);
  });

  it('names early beats by the pause that makes up for each', () => {
    expect(findingsOf(inTurn(18, 0.5, 0.5, 0.5, 0.5, 0.35, 0.65), [40])).toEqual(['irregular']);
    // An early beat without its pause can be one that was made up.
    expect(findingsOf([...inTurn(20, 0.5), 0.25, 0.5, 0.5, 0.5], [40])).toEqual([]);
  });

  it('names no rhythm of one odd beat among many, or of long intervals alone', () => {
    expect(findingsOf([...inTurn(30, 0.5), 0.3, 0.7, ...inTurn(30, 0.5)], [40])).toEqual([]);
    expect(findingsOf(inTurn(24, 0.5, 0.5, 0.5, 0.5, 0.5, 0.72), [40])).toEqual([]);
  });

  it('names irregular beats where short and long ones follow without a pattern', () => {
    const uneven = [0.5, 0.38, 0.61, 0.44, 0.7, 0.52, 0.35, 0.58, 0.47, 0.66, 0.41, 0.55];
    expect(findingsOf(uneven, [40, 34, 44])).toEqual(['irregular']);
    // In one place only they are what settles after a flush or a tap.
    expect(findingsOf([...uneven, ...inTurn(24, 0.5)], [40, 34, 44])).toEqual([]);
    expect(findingsOf([...uneven, ...inTurn(24, 0.5), ...uneven], [40, 34, 44])).toEqual(['irregular']);
  });
});
