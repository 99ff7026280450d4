import { describe, expect, it } from 'vitest';
import { readStrip } from '../../../src/domain/strip/strip-findings.ts';
import { drawnStrip, type Family } from '../../bench/strip/families.ts';
import { type MadeStripOptions, madeStrip } from '../../support/strips/made-strip.ts';
import { usualStrip } from '../../support/strips/usual-strip.ts';

/** What is told of a strip, and what makes it doubtful. */
function valueRecordedAt(strip: ReturnType<typeof madeStrip>['strip']) {
  const { findings } = readStrip(strip);
  return {
    patient: findings.patient.map(({ finding }) => finding),
    faults: findings.faults.map(({ fault }) => fault),
  };
}
const told = (options: Partial<MadeStripOptions>) =>
  valueRecordedAt(madeStrip({ ...usualStrip, ...options }).strip);

describe('a pause', () => {
  const dropped = { ...usualStrip, ratePerMin: 110, rhythm: { kind: 'dropped', every: 5 } } as const;
  /** A weak beat of so much of the pulse in each pause, at a share of a usual beat after the one before. */
  function withWeakBeats(share: number, pulseShare: number) {
    const { strip, beats } = madeStrip(dropped);
    const usualS = 60 / dropped.ratePerMin;
    const before = beats.filter(({ atS }, i) => (beats[i + 1]?.atS ?? atS) - atS > 1.5 * usualS);
    const tall = pulseShare * (dropped.sapMmHg - dropped.dapMmHg);
    const pressuresMmHg = strip.pressuresMmHg.map((p, i) =>
      before.reduce((sum, { atS }) => {
        const off = (i / strip.samplesPerS - atS - share * usualS) / 0.05;
        return sum + tall * Math.exp(-0.5 * off * off);
      }, p),
    );
    return valueRecordedAt({ ...strip, pressuresMmHg });
  }

  it('that holds nothing is told', () => {
    expect(told(dropped)).toEqual({ patient: ['pauses'], faults: [] });
  });

  it('that holds a wave where an early beat would be is a doubt if the beat could be a pulse', () => {
    expect(withWeakBeats(0.75, 0.6)).toEqual({ patient: ['pauses'], faults: ['beats disagree'] });
    // A lesser one is a swing, or a beat so weak that the rate is right with or without it.
    expect(withWeakBeats(0.75, 0.24)).toEqual({ patient: ['pauses'], faults: [] });
  });
});

describe('beats that nearly take turns', () => {
  const inTurns = (small: number, ratePerMin: number) =>
    told({
      rhythm: { kind: 'alternans', small, variation: 0.01 },
      ratePerMin,
      wave: 'reference',
      breath: { perMin: 15, mmHg: 0, pulseShare: 0 },
    });

  it('are neither steady for sure nor alternans for sure', () => {
    expect(inTurns(0.75, 110)).toEqual({ patient: ['alternans'], faults: [] });
    expect(inTurns(0.885, 110)).toEqual({ patient: [], faults: ['beats disagree'] });
    expect(inTurns(0.96, 110)).toEqual({ patient: [], faults: [] });
  });

  it('are breathing’s where the heart is slow enough for it', () => {
    expect(inTurns(0.885, 60)).toEqual({ patient: [], faults: [] });
  });
});

describe('a heart that is told as steady', () => {
  /** The usual strip of 10 s with one beat made so many times as tall. */
  function withOneBeat(times: number) {
    const { strip, beats } = madeStrip({ ...usualStrip, seconds: 10 });
    const [odd, next] = [beats[6]?.atS ?? 0, beats[7]?.atS ?? 0];
    const pressuresMmHg = strip.pressuresMmHg.map((p, i) => {
      const t = i / strip.samplesPerS;
      return t > odd && t < next ? 85 + times * (p - 85) : p;
    });
    return valueRecordedAt({ ...strip, pressuresMmHg });
  }

  it('has no beat that is half as tall as the others', () => {
    expect(withOneBeat(1)).toEqual({ patient: [], faults: [] });
    expect(withOneBeat(0.5)).toEqual({ patient: [], faults: ['beats disagree'] });
  });
});

describe('small beats', () => {
  it('that are less than half of the tall ones are a doubt: some may not be counted', () => {
    const small = (share: number) =>
      told({
        rhythm: { kind: 'alternans', small: share, variation: 0.01 },
        ratePerMin: 110,
        wave: 'reference',
        breath: { perMin: 15, mmHg: 0, pulseShare: 0 },
      });
    expect(small(0.52)).toEqual({ patient: ['alternans'], faults: [] });
    expect(small(0.43).faults).toContain('beats disagree');
  });
});

describe('uneven beats', () => {
  it('with a stretch left out for its level are a doubt: what was left out can be a part of them', () => {
    const uneven = {
      rhythm: { kind: 'fibrillation', variation: 0.22 },
      ratePerMin: 110,
      seconds: 30,
    } as const;
    const raised = { kind: 'limb raised', atS: 12, lengthS: 6, mmHg: 35 } as const;
    expect(told(uneven).faults).toEqual([]);
    expect(told({ ...uneven, excursions: [raised] }).faults).toContain('level changes');
  });
});

// Strips of the bench, through lines that hardly damp and ring as fast as the heart beats (325 /min, 5.9 and 6.3 Hz): what is
// shown are swings, nearly as tall as each other and as far apart.
describe('beats as often as a line rings', () => {
  const drawn = (family: Family, index: number) => {
    const one = drawnStrip(family, index, 12);
    if (one.is !== 'pulse') throw new Error('no pulse');
    return valueRecordedAt(one.made.strip).faults;
  };

  it('that nearly take turns are a doubt, though they differ by less', () => {
    expect(drawn('bigeminy', 347)).toContain('beats disagree');
  });

  it('that are as round as a sine are a doubt, though they fall quicker than they rise', () => {
    expect(drawn('limb raised', 683)).toEqual(['like a sine']);
  });
});
